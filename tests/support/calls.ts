import { expect } from 'vitest'
import { send } from './hostile.ts'
import { ask } from './service.ts'

export const TOOLS = ['multimeter', 'meter', 'tape', 'screwdriver', 'flashlight', 'lamp']
export const condition = (id: string, state = 'present', more = {}) => ({
  kind: 'condition',
  condition: `condition/${id}`,
  state,
  ...more,
})
export const answer = (check: string, result: string) => ({ kind: 'answer', check: `check/${check}`, result })
export const restVoltage = (value: number, unit = 'V', more = {}) => ({
  kind: 'reading',
  reading: 'reading/battery-rest-voltage',
  quantity: { value, unit },
  ...more,
})
export const context = (id: string, state = 'holds') => ({ kind: 'context', context: `context/${id}`, state })
export const screen = (complete: boolean) => ({ kind: 'screen', complete })
export const POWER = [condition('mains-missing'), condition('battery-low')]
export const SAFE = [answer('ask-on-test', 'on-test'), answer('ask-power-feed', 'plug-in-block')]

export const post = (findings: object[], more: object = {}) => ask(send, 'POST', '/v1/diagnose', { findings, ...more })

export async function diagnose(findings: object[], more: object = {}) {
  const { status, body } = await post(findings, more)
  expect(status, JSON.stringify(body)).toBe(200)
  return body
}
export type Cause = { cause: string; device?: string; probability: number }
export const ranking = (body: { causes: Cause[] }) =>
  new Map(body.causes.map(({ cause, device, probability }) => [`${cause} ${device ?? ''}`, probability]))
export const probabilityOf = (body: { causes: Cause[] }, cause: string) =>
  body.causes.find((one) => one.cause === `cause/${cause}`)?.probability ?? 0
export const checksOf = (body: { nextChecks: { check: string }[] }) => body.nextChecks.map(({ check }) => check)

export function expectSameRanking(a: Map<string, number>, b: Map<string, number>): void {
  expect([...a.keys()].sort()).toEqual([...b.keys()].sort())
  for (const [cause, probability] of a) expect(b.get(cause), cause).toBeCloseTo(probability, 10)
}
