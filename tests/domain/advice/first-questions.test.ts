import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCheck, CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import { isBeyondCaller, liftsOf, permit } from '../../../src/domain/advice/permit.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { allRead, answered, holds, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
const [LAMP, SMELL, WELL] = [0, 5, base.checks.length]
const WATER = 6

/** Whether somebody is well: a question of circumstances; its "no" is a danger where that is said. */
const well = (rest: Partial<CompiledCheck> = {}): CompiledCheck => ({
  ...base.checks[3]!,
  id: 'check/well',
  results: ['yes', 'no'],
  model: { kind: 'applicability', sets: [{ result: 'no', context: WATER }] },
  ...rest,
})
const MARKED = { dangers: { no: 0 } }

/** The small release, whose low battery calls for that question first. */
function calling(rest: Partial<CompiledCheck>, change: Partial<CompiledRelease> = {}): CompiledRelease {
  const conditions = base.conditions.map((one, at) => (at === 0 ? { ...one, askFirst: [WELL] } : one))
  return smallRelease({ checks: [...base.checks, well(rest)], conditions, ...change })
}
const LOW = [present('battery-low'), allRead]
const ask = (release: CompiledRelease, ...findings: Finding[]) =>
  advise({ release, findings: [...LOW, ...findings], limits: CALLER })
const permitOf = (release: CompiledRelease, step: number, ...findings: Finding[]) =>
  permit(release, release.checks[step]!, ask(release, ...findings).known, CALLER)

describe('an ordinary question that a condition calls for first', () => {
  const release = calling({})

  test('comes before every step, and opens the way to it', () => {
    expect(permitOf(release, LAMP)).toEqual({ verdict: 'after', check: WELL })
    const { searched, plan } = ask(release)
    expect(searched.checks[0]).toMatchObject({ check: WELL, why: 'opens-the-plan' })
    expect(searched.checks.every(({ check }) => check === WELL)).toBe(true)
    expect(plan[0]!.permit).toEqual({ verdict: 'after', check: WELL })
  })

  test('waits neither for itself nor holds up the question of a danger', () => {
    expect(permitOf(release, WELL)).toEqual({ verdict: 'allowed' })
    expect(permitOf(release, SMELL)).toEqual({ verdict: 'allowed' })
  })

  test('holds nothing up once it was put, whatever the answer, nor where its condition does not stand', () => {
    for (const result of ['yes', 'dont-know'])
      expect(permitOf(release, LAMP, answered('well', result))).toEqual({ verdict: 'allowed' })
    const other = advise({ release, findings: [present('supply-missing')], limits: CALLER })
    expect(permit(release, release.checks[LAMP]!, other.known, CALLER)).toEqual({ verdict: 'allowed' })
  })

  test('is not needed where what it tells of is surely ruled out', () => {
    const denied: Finding = { kind: 'context', context: 'context/water-about', state: 'does-not-hold' }
    expect(permitOf(release, LAMP, denied)).toEqual({ verdict: 'allowed' })
    expect(permitOf(release, LAMP, { ...denied, reliability: 0.7 }).verdict).toBe('after')
  })

  test('is none of the danger questions', () => {
    expect(ask(release).dangerQuestions).toEqual([SMELL])
  })
})

describe('one with a result that is a danger', () => {
  const release = calling(MARKED)

  test('is put with the danger questions, only while its condition stands', () => {
    expect(ask(release).dangerQuestions).toEqual([SMELL, WELL])
    expect(ask(release, answered('well', 'yes')).dangerQuestions).toEqual([SMELL])
    expect(advise({ release, findings: [present('supply-missing')], limits: CALLER }).dangerQuestions).toEqual([SMELL])
  })

  test('stops everything at that result', () => {
    expect(ask(release, answered('well', 'no')).stop).toBe('danger')
  })

  test('holds everything back while nobody knows, sends no technician to find out, and stays among the danger questions', () => {
    const unsure = answered('well', 'dont-know')
    const held = permitOf(release, LAMP, unsure)
    expect(held).toMatchObject({ reason: 'hazard-present', detail: 'hazard/shock check/well' })
    expect([liftsOf(held), isBeyondCaller(held)]).toEqual([[{ unsure: WELL }], false])
    expect(ask(release, unsure).stop).not.toBe('needs-technician')
    const { dangerQuestions, searched } = ask(release, unsure)
    expect(dangerQuestions).toEqual([SMELL, WELL])
    expect(searched.checks).toEqual([])
  })

  test('says what lifts that where its circumstance can be lifted, and sends no technician', () => {
    const contexts = base.contexts.map((one, at) => (at === WATER ? { ...one, isLiftable: true as const } : one))
    const liftable = calling(MARKED, { contexts })
    const held = permitOf(liftable, LAMP, answered('well', 'dont-know'))
    expect([held.verdict, liftsOf(held), isBeyondCaller(held)]).toEqual(['refused', [{ context: WATER }], false])
    expect(ask(liftable, answered('well', 'dont-know')).stop).not.toBe('needs-technician')
  })

  test('is no danger any more once the question was answered anew, where something lifts it', () => {
    const contexts = base.contexts.map((one, at) => (at === WATER ? { ...one, isLiftable: true as const } : one))
    const at = (result: string, observedMs: number) => ({ ...answered('well', result), observedMs })
    const stopOf = (release: CompiledRelease, ...findings: Finding[]) => ask(release, ...findings).stop
    const liftable = calling(MARKED, { contexts })
    expect(stopOf(liftable, at('no', 1), at('yes', 2))).not.toBe('danger')
    expect(stopOf(liftable, at('yes', 1), at('no', 2))).toBe('danger')
    expect(stopOf(liftable, answered('well', 'no'), answered('well', 'yes'))).toBe('danger')
    expect(stopOf(release, at('no', 1), at('yes', 2))).toBe('danger')
  })

  test('and the question of a danger do not wait for each other', () => {
    const conditions = base.conditions.map((one, at) => (at === 0 ? { ...one, askFirst: [WELL, SMELL] } : one))
    const both = calling(MARKED, { conditions })
    expect(permitOf(both, WELL)).toEqual({ verdict: 'after', check: SMELL })
    expect(permitOf(both, SMELL)).toEqual({ verdict: 'allowed' })
    expect(permitOf(both, LAMP, answered('smell', 'no'))).toEqual({ verdict: 'after', check: WELL })
    expect(permitOf(both, LAMP, answered('smell', 'no'), answered('well', 'yes'))).toEqual({ verdict: 'allowed' })
  })
})

test('a technician is held back by none of them', () => {
  const release = calling(MARKED)
  const limits: Limits = { who: 'technician', tools: [] }
  const { known } = advise({ release, findings: [...LOW, holds('on-test')], limits })
  expect(permit(release, release.checks[LAMP]!, known, limits)).toEqual({ verdict: 'allowed' })
})
