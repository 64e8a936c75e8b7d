import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { isRuledOut, leftOfDenied } from '../../../src/domain/advice/gathered.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { allRead, answered, CAUSE, holds, present, smallRelease } from '../../support/small-release.ts'

const [ASK_ON_TEST, SMELL] = [3, 5]
const CALLER: Limits = { who: 'caller', tools: [] }
const ask = (...findings: Finding[]) =>
  advise({ release: smallRelease(), findings: [present('battery-low'), allRead, ...findings], limits: CALLER })
const denied = (id: string, reliability?: number) =>
  holds(id, { state: 'does-not-hold', ...(reliability === undefined ? {} : { reliability }) })

describe('a context that is denied', () => {
  test('leaves of its odds what the doubt in the denial leaves', () => {
    const left = (reliability: number) => leftOfDenied(ask(denied('old-battery', reliability)).known, 3)
    expect(left(1)).toBe(0)
    expect(left(0.8)).toBeCloseTo(0.25, 12)
    expect(left(0.5)).toBe(1)
    expect(leftOfDenied(ask().known, 3)).toBe(1)
  })

  test('is ruled out by a denial without doubt alone', () => {
    expect(isRuledOut(ask(denied('old-battery')).known, 3)).toBe(true)
    expect(isRuledOut(ask(denied('old-battery', 0.7)).known, 3)).toBe(false)
    expect(isRuledOut(ask().known, 3)).toBe(false)
  })

  test('twice is denied as surely as the surer of both says, in either order', () => {
    for (const [one, other] of [
      [0.6, 1],
      [1, 0.6],
    ] as const)
      expect(isRuledOut(ask(denied('old-battery', one), denied('old-battery', other)).known, 3)).toBe(true)
  })

  test('with doubt moves the odds less than without', () => {
    const worn = (...findings: Finding[]) =>
      ask(...findings).causes.find(({ cause }) => cause === CAUSE.batteryWorn)!.probability
    expect(worn(denied('old-battery', 0.6))).toBeLessThan(worn())
    expect(worn(denied('old-battery'))).toBeLessThan(worn(denied('old-battery', 0.6)))
  })

  test('with doubt leaves its question open, without doubt closes it', () => {
    const shifts = [{ cause: 0, factor: 20 }]
    const base = smallRelease()
    const contexts = base.contexts.map((one, at) => (at <= 1 ? { ...one, shifts: at === 0 ? shifts : [] } : one))
    const offers = (...findings: Finding[]) =>
      advise({
        release: smallRelease({ contexts, gates: [] }),
        findings: [present('battery-low'), ...findings],
        limits: CALLER,
      }).searched.checks.map(({ check }) => check)
    const both = (reliability: number) => [denied('on-test', reliability), denied('not-on-test', reliability)]
    expect(offers()).toContain(ASK_ON_TEST)
    expect(offers(...both(0.6))).toContain(ASK_ON_TEST)
    expect(offers(...both(1))).not.toContain(ASK_ON_TEST)
  })
})

describe('a gate', () => {
  const offers = (...findings: Finding[]) => ask(...findings).searched
  const opener = (searched: ReturnType<typeof offers>) =>
    searched.checks.find(({ why }) => why === 'opens-the-way')?.check

  test('is not closed by a doubtful "not on test": its question is still put', () => {
    expect(opener(offers(holds('not-on-test', { reliability: 0.6 })))).toBe(ASK_ON_TEST)
    expect(opener(offers(holds('not-on-test')))).toBeUndefined()
  })

  test('is not opened by a doubtful "on test" either', () => {
    const searched = offers(holds('on-test', { reliability: 0.6 }))
    expect(opener(searched)).toBe(ASK_ON_TEST)
    expect(searched.checks.map(({ check }) => check)).not.toContain(1)
  })
})

describe('a danger question', () => {
  test('that nobody could answer stays among those to make sure of, and is no next check', () => {
    const advice = ask(answered('smell', 'dont-know'))
    expect(advice.dangerQuestions).toEqual([SMELL])
    expect(advice.searched.checks.map(({ check }) => check)).not.toContain(SMELL)
    expect(advice.stop).not.toBe('danger')
  })

  test('is made sure of by an answer before or after "do not know"', () => {
    for (const answers of [
      ['dont-know', 'no'],
      ['no', 'dont-know'],
    ])
      expect(ask(...answers.map((result) => answered('smell', result))).dangerQuestions).toEqual([])
  })
})
