import { describe, expect, test } from 'vitest'
import {
  answer,
  type Cause,
  condition,
  diagnose,
  POWER,
  post,
  probabilityOf,
  ranking,
  screen,
  TOOLS,
} from '../support/calls.ts'

const tried = (remedy: string, result: string, more: object = {}) => ({
  kind: 'tried',
  remedy: `remedy/${remedy}`,
  result,
  ...more,
})
interface Accounted extends Cause {
  priorDecibans: number
  evidence: { findings: number[]; decibans: number; sentence: string }[]
}
const HANDY = { limits: { who: 'handy', tools: TOOLS, ownerVerified: true } }
const LOW = [condition('battery-low'), screen(true)]
const ask = (...findings: object[]) => diagnose(findings, HANDY)
const planOf = ({ plan }: { plan: { remedy: string }[] }) => plan.map(({ remedy }) => remedy)

describe('"I changed the battery and it still shows"', () => {
  test('puts what empties a sound battery before a worn one, and sells no second battery', async () => {
    const before = await ask(...LOW)
    expect(before.causes[0].cause).toBe('cause/battery-worn-out')
    expect(planOf(before)).toContain('remedy/replace-storage-battery')
    const after = await ask(...LOW, tried('replace-storage-battery', 'no-change'))
    expect(after.causes[0].cause).toBe('cause/battery-empty-after-outage')
    expect(probabilityOf(after, 'battery-worn-out')).toBeLessThan(0.1)
    expect(planOf(after)).not.toContain('remedy/replace-storage-battery')
    expect(planOf(after)[0]).toBe('remedy/let-battery-recharge')
  })

  test('then leads to the plug that was knocked out, step by step as on the phone', async () => {
    const told = [...LOW, tried('replace-storage-battery', 'no-change', { source: 'caller' })]
    const { nextChecks } = await ask(...told)
    expect(nextChecks[0].check).toBe('check/read-mains-lamp')
    const dark = await ask(...told, answer('read-mains-lamp', 'off'))
    expect(dark.causes[0].cause).toBe('cause/supply-unplugged')
    expect(planOf(dark)[0]).toBe('remedy/plug-supply-in')
  })

  test('names the remedy in the account of what it removes and of nothing else, and the account adds up', async () => {
    const { causes } = await ask(...LOW, tried('replace-storage-battery', 'no-change'))
    const named = causes.filter(({ evidence }: Accounted) => evidence.some(({ findings }) => findings.includes(2)))
    expect(named.map(({ cause }: Cause) => cause)).toEqual(['cause/battery-worn-out'])
    const { evidence, priorDecibans, probability }: Accounted = named[0]
    const { sentence } = evidence.find(({ findings }) => findings.includes(2))!
    expect(sentence).toBe('"Replace the battery in the box" done in vain speaks strongly against this.')
    const sum = evidence.reduce((total, one) => total + one.decibans, priorDecibans)
    expect(sum).toBeCloseTo(10 * Math.log10(probability / (1 - probability)), 9)
  })

  test('is the same wherever it stands among the findings', async () => {
    const battery = tried('replace-storage-battery', 'no-change')
    const [last, first] = [await ask(...POWER, battery), await ask(battery, ...POWER)]
    expect(ranking(first)).toEqual(ranking(last))
  })
})

describe('other reports of a remedy', () => {
  test('"it went away and came back" says nothing of what is now', async () => {
    const [plain, back] = [await ask(...LOW), await ask(...LOW, tried('replace-keypad', 'came-back'))]
    expect([ranking(back), planOf(back), back.unused]).toEqual([ranking(plain), planOf(plain), [2]])
  })

  test('"the new battery held for a while" speaks for the charger, and sells no second battery first', async () => {
    const [plain, back] = [await ask(...LOW), await ask(...LOW, tried('replace-storage-battery', 'came-back'))]
    const chargerIn = (body: typeof plain) => probabilityOf(body, 'charger-circuit-failed')
    expect(chargerIn(back)).toBeGreaterThan(3 * chargerIn(plain))
    expect([planOf(plain)[0], planOf(back)[0]]).toEqual([
      'remedy/replace-storage-battery',
      'remedy/let-battery-recharge',
    ])
  })

  test('"it went away" ends the item, and not one that was seen later', async () => {
    const at = (time: string) => ({ observedAt: `2026-03-01T${time}:00Z` })
    const low = condition('battery-low', 'present', at('09:00'))
    const clearedAt = (time: string) => tried('replace-storage-battery', 'cleared', at(time))
    const gone = await ask(low, screen(true), clearedAt('10:00'))
    expect([gone.unused, gone.clearing, gone.plan]).toEqual([[0], [], []])
    const back = await ask(low, screen(true), clearedAt('08:00'))
    expect([back.unused, back.clearing.length]).toEqual([[2], 1])
  })

  test('of one device leaves the others as they are', async () => {
    const cells = ['hall', 'attic'].map((device) => condition('radio-sensor-battery-low', 'present', { device }))
    const { plan } = await ask(...cells, screen(true), tried('replace-primary-cell', 'no-change', { device: 'hall' }))
    const { fixes } = plan.find(({ remedy }: { remedy: string }) => remedy === 'remedy/replace-primary-cell')
    expect(new Set(fixes.map(({ device }: Cause) => device))).toEqual(new Set(['attic']))
  })
})

describe('a remedy that is no such thing', () => {
  test.each([
    ['an unknown id', tried('kick-it', 'no-change'), 'UNKNOWN_ID', '/findings/1/remedy'],
    ['a cause', { ...tried('x', 'no-change'), remedy: 'cause/battery-worn-out' }, 'UNKNOWN_ID', '/findings/1/remedy'],
    ['a result nobody knows', tried('replace-storage-battery', 'exploded'), 'INVALID_VALUE', '/findings/1/result'],
  ])('is refused: %s', async (_, finding, code, pointer) => {
    const { status, body } = await post([condition('battery-low'), finding])
    expect([status, body.errors[0].pointer]).toEqual([422, pointer])
    if (code === 'UNKNOWN_ID') expect(body.errors[0].code).toBe(code)
  })
})
