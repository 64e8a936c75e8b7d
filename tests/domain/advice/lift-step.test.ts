import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../../src/domain/advice/advise.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { ALONE, liftableRelease, NOT_ON_TEST, REMOTE } from '../../support/liftable-release.ts'
import { allRead, answered, holds, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
const [CASE, ON_TEST] = [1, 3]

const ask = (findings: readonly Finding[], release = liftableRelease(), limits = CALLER) =>
  advise({ release, findings, limits })
const liftsOf = ({ searched }: Advice) => searched.checks.filter(({ why }) => why === 'lift-first')
const offered = ({ searched }: Advice) => searched.checks.map(({ check }) => check)
const LOW = [present('battery-low'), allRead]
const NO = answered('ask-on-test', 'no')

describe('a useful check behind a gate that the caller can lift', () => {
  test('is led to by the question of the gate, put once more after what lifts it', () => {
    expect(liftsOf(ask([...LOW, NO]))).toMatchObject([
      { check: ON_TEST, before: CASE, lift: [{ context: NOT_ON_TEST }], results: [] },
    ])
  })

  test('is itself not offered and stays refused', () => {
    const advice = ask([...LOW, NO])
    expect(offered(advice)).not.toContain(CASE)
    expect(advice.searched.refused.map(({ check }) => check)).toContain(CASE)
  })

  test('is offered itself once the gate is open, and nothing is to be lifted any more', () => {
    const advice = ask([...LOW, answered('ask-on-test', 'yes')])
    expect([offered(advice).includes(CASE), liftsOf(advice)]).toEqual([true, []])
  })

  test('is led to although the question itself is held back by what is lifted before it', () => {
    const hazards = [{ id: 'hazard/shock', stopIf: [NOT_ON_TEST] }, base.hazards[1]!]
    const checks = base.checks.map((one, at) => (at === ON_TEST ? { ...one, hazards: [0] } : one))
    expect(liftsOf(ask([...LOW, NO], liftableRelease({ hazards, checks })))).toMatchObject([
      { check: ON_TEST, before: CASE },
    ])
    const byOther = [{ id: 'hazard/shock', stopIf: [ALONE] }, base.hazards[1]!]
    const gated = base.checks.map((one, at) => (at === ON_TEST ? { ...one, hazards: [0] } : { ...one, hazards: [] }))
    const release = liftableRelease({ hazards: byOther, checks: gated })
    expect(liftsOf(ask([...LOW, NO, holds('caller-alone')], release))).toEqual([])
  })

  test('counts the minutes of the lifting and of both questions', () => {
    const [lift] = liftsOf(ask([...LOW, NO]))
    const { searched } = ask([...LOW, holds('on-test')])
    const open = searched.checks.find(({ check }) => check === CASE)!
    expect(lift!.gainBits).toBe(open.gainBits)
    expect(lift!.minutes).toBe(open.minutes + 3 + 5)
    expect(lift!.bitsPerMinute).toBeCloseTo(lift!.gainBits / lift!.minutes, 12)
  })

  test('stands among the others by what it brings a minute', () => {
    const rates = ask([...LOW, NO]).searched.checks.map((one) => one.bitsPerMinute)
    expect(rates.length).toBeGreaterThan(1)
    expect(rates).toEqual([...rates].sort((a, b) => b - a))
  })

  test('comes after the rest of the display', () => {
    const { searched } = ask([present('battery-low'), { kind: 'screen', complete: false }, NO])
    expect(searched.checks.map(({ why }) => why).slice(0, 1)).toEqual(['open-the-display-first'])
    expect(searched.checks.some(({ why }) => why === 'lift-first')).toBe(true)
  })

  test('changes neither the stop nor what can be asked in one breath', () => {
    const lasting = smallRelease()
    for (const findings of [
      [...LOW, NO],
      [...LOW, NO, answered('lamp-off', 'no')],
    ]) {
      const limits = { ...CALLER, questionsAtOnce: 4 }
      const [one, other] = [ask(findings, liftableRelease(), limits), ask(findings, lasting, limits)]
      expect(one.together).toEqual(other.together)
      expect(one.searched.checks.filter(({ why }) => why !== 'lift-first')).toEqual(other.searched.checks)
    }
  })
})

describe('nothing is to be lifted', () => {
  const none = (findings: readonly Finding[], release = liftableRelease(), limits = CALLER) =>
    expect(liftsOf(ask(findings, release, limits))).toEqual([])

  test('once the same answer has come twice, at whatever times', () => {
    none([...LOW, NO, NO])
    none([...LOW, { ...NO, observedMs: 1 }, { ...NO, observedMs: 2 }])
  })

  test('where nothing says how', () => {
    none([...LOW, NO], smallRelease())
  })

  test('while a second obstacle stands that the call does not outlast', () => {
    none([...LOW, NO, holds('caller-alone')])
    none([...LOW, answered('ask-on-test', 'yes'), holds('caller-alone')])
    none([...LOW, NO, holds('caller-remote')])
    expect(REMOTE).toBe(liftableRelease().contexts.findIndex(({ id }) => id === 'context/caller-remote'))
  })

  test('in less time than a call takes', () => {
    none([...LOW, NO], liftableRelease(), { ...CALLER, minutes: 4 })
    expect(liftsOf(ask([...LOW, NO], liftableRelease(), { ...CALLER, minutes: 5 }))).toHaveLength(1)
  })

  test('for a technician, or for the sake of a danger', () => {
    none([...LOW, NO], liftableRelease(), { who: 'technician', tools: [] })
    none([...LOW, NO, answered('smell', 'yes')])
  })

  test('while a danger that what stands may come with is open', () => {
    const conditions = base.conditions.map((one) => ({ ...one, askFirst: [5] }))
    none([...LOW, NO], liftableRelease({ conditions }))
    expect(liftsOf(ask([...LOW, NO, answered('smell', 'no')], liftableRelease({ conditions })))).toHaveLength(1)
  })
})

test('who did not know whether anybody watches finds out, and what that brings is lifted in turn', () => {
  const unsure = answered('ask-on-test', 'dont-know', { observedMs: 1 })
  expect(liftsOf(ask([...LOW, unsure]))).toMatchObject([{ check: ON_TEST, lift: [{ gate: 'on-test' }] }])
  const found = { ...NO, observedMs: 2 }
  expect(liftsOf(ask([...LOW, unsure, found]))).toMatchObject([{ check: ON_TEST, lift: [{ context: NOT_ON_TEST }] }])
})
