import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  answer,
  condition,
  context,
  diagnose,
  POWER,
  probabilityOf,
  ranking,
  restVoltage,
  screen,
} from '../support/calls.ts'

const worn = (body: Parameters<typeof probabilityOf>[0]) => probabilityOf(body, 'battery-worn-out')
const LOW = condition('battery-low')
const read = (value: number, more = {}) => restVoltage(value, 'V', more)

describe('two readings of one thing in a diagnosis', () => {
  test('the newer counts, at whatever offset its time is written', async () => {
    const old = read(13, { observedAt: '2026-01-02T10:00:00+02:00' })
    const young = read(11.4, { observedAt: '2026-01-02T09:00:00Z' })
    const [one, other, alone] = await Promise.all([
      diagnose([LOW, young, old]),
      diagnose([LOW, old, young]),
      diagnose([LOW, young]),
    ])
    expect(ranking(one)).toEqual(ranking(alone))
    expect(ranking(other)).toEqual(ranking(alone))
    expect([one.unused, other.unused]).toEqual([[2], [1]])
    expect([one.contradictions, other.contradictions]).toEqual([[], []])
  })

  test('without times that cannot both be right are named, and one of them counts in either order', async () => {
    const [one, other] = await Promise.all([
      diagnose([LOW, read(11.4), read(13)]),
      diagnose([LOW, read(13), read(11.4)]),
    ])
    expect(ranking(one)).toEqual(ranking(other))
    const about = 'reading/battery-rest-voltage'
    expect([one.contradictions, one.unused]).toEqual([[{ about, findings: [1, 2] }], [2]])
    expect([other.contradictions, other.unused]).toEqual([[{ about, findings: [1, 2] }], [1]])
  })

  test('the one of the better meter counts', async () => {
    const meter = (value: number) => ({
      meter: { percentOfReading: 0, digits: 1, resolution: { value, unit: 'V' } },
    })
    const body = await diagnose([LOW, read(12.6, meter(0.5)), read(12.5, meter(0.01))])
    expect([body.unused, body.contradictions]).toEqual([[1], []])
  })
})

test('a reading that may not be as stated speaks more weakly', async () => {
  const [without, doubtful, sure] = await Promise.all([
    diagnose([LOW]),
    diagnose([LOW, read(11.4, { reliability: 0.6 })]),
    diagnose([LOW, read(11.4)]),
  ])
  expect(worn(doubtful)).toBeGreaterThan(worn(without))
  expect(worn(sure)).toBeGreaterThan(worn(doubtful))
})

test('a device reported missing with and without its name is one device', async () => {
  const named = condition('radio-device-missing', 'present', { device: 'front door' })
  const [both, alone] = await Promise.all([diagnose([condition('radio-device-missing'), named]), diagnose([named])])
  expect(ranking(both)).toEqual(ranking(alone))
  expect([both.unused, both.protection.length]).toEqual([[], 1])
  expect(both.causes[0].evidence.map(({ findings }: { findings: number[] }) => findings)).toContainEqual([0, 1])
})

test('a step of the prologue is not settled by a denial that is doubtful', async () => {
  const stateAfter = async (more: object) => {
    const { prologue } = await diagnose([...POWER, { ...context('on-test', 'does-not-hold'), ...more }])
    return prologue.find(({ checks }: { checks: string[] }) => checks.join() === 'check/ask-on-test')?.state
  }
  expect(await stateAfter({})).toBe('done')
  expect(await stateAfter({ reliability: 0.6 })).toBe('open')
})

test('twelve "do not know" make sure of no danger, and none of the questions is a next check', async () => {
  const { dangerQuestions } = await diagnose(POWER)
  expect(dangerQuestions.length).toBeGreaterThan(5)
  const stepOf = (body: { prologue: { step: string; state: string }[] }) =>
    body.prologue.find(({ step }) => step === 'emergency')?.state
  const answers = (resultOf: (question: { sign: string; results: { result: string }[] }) => string) =>
    dangerQuestions.map((question: { check: string; sign: string; results: { result: string }[] }) =>
      answer(question.check.slice('check/'.length), resultOf(question)),
    )
  const unknown = await diagnose([...POWER, ...answers(() => 'dont-know')])
  expect(unknown.dangerQuestions.map(({ check }: { check: string }) => check)).toEqual(
    dangerQuestions.map(({ check }: { check: string }) => check),
  )
  expect([stepOf(unknown), unknown.stop]).toEqual(['open', null])
  const put = new Set(dangerQuestions.map(({ check }: { check: string }) => check))
  expect(unknown.nextChecks.filter(({ check }: { check: string }) => put.has(check))).toEqual([])
  const denied = await diagnose([
    ...POWER,
    ...answers(({ sign, results }) => results.find(({ result }) => result !== sign)!.result),
  ])
  expect([stepOf(denied), denied.dangerQuestions]).toEqual(['done', []])
})

test('no order of the findings changes an answer but the places it names', async () => {
  const hall = { device: 'hall' }
  const all = [
    ...POWER,
    condition('radio-device-missing'),
    condition('radio-device-missing', 'present', hall),
    condition('clock-not-set', 'present', { reliability: 0.7 }),
    context('battery-age-over-4y'),
    { ...context('storm-recent', 'does-not-hold'), reliability: 0.6 },
    answer('ask-on-test', 'on-test'),
    answer('danger-burning', 'dont-know'),
    screen(false),
    answer('read-trouble-list', 'all-read'),
    read(11.4, { reliability: 0.8 }),
    read(13),
    read(12.7, { observedAt: '2026-01-02T09:00:00Z' }),
  ]
  const told = ({ causes, contradictions, unused, ...rest }: Record<string, unknown[]>, sent: object[]) => {
    const named = (positions: number[]) => positions.map((at) => JSON.stringify(sent[at])).sort()
    const places = contradictions as unknown as { about: string; findings: number[] }[]
    const shown = causes as unknown as { cause: string; device?: string; probability: number }[]
    const { nextChecks, stop, refused, plan, dangerQuestions, surprise, prologue } = rest
    return {
      causes: shown.map(({ cause, device, probability }) => [cause, device, probability]),
      contradictions: places.map(({ about, findings }) => [about, ...named(findings)].join()).sort(),
      unused: named(unused as unknown as number[]),
      ...{ nextChecks, stop, refused, plan, dangerQuestions, surprise, prologue },
    }
  }
  const expected = told(await diagnose(all), all)
  await fc.assert(
    fc.asyncProperty(fc.shuffledSubarray(all, { minLength: all.length }), async (shuffled) => {
      expect(told(await diagnose(shuffled), shuffled)).toEqual(expected)
    }),
    { numRuns: 25 },
  )
})
