import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { CompiledCheck, CompiledRelease } from '../../../src/domain/advice/compiled.ts'
import type { NextCheck } from '../../../src/domain/advice/search-state.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { allRead, answered, present, smallRelease } from '../../support/small-release.ts'

const CALLER: Limits = { who: 'caller', tools: [] }
const base = smallRelease()
const [LAMP, CASE, VOLTAGE, ON_TEST, SMELL] = [0, 1, 2, 3, 5]
/** Asking, with two minutes of talk, and one more of doing it. */
const MINUTES = 3
const ON_TEST_SHARE = 0.3

const withChecks = (change: Record<number, Partial<CompiledCheck>>, rest: Partial<CompiledRelease> = {}) =>
  smallRelease({ checks: base.checks.map((one, at) => ({ ...one, ...change[at] })), ...rest })
const ask = (release: CompiledRelease, ...findings: Finding[]) =>
  advise({ release, findings: [present('battery-low'), allRead, ...findings], limits: CALLER }).searched.checks
const leadingTo = (checks: readonly NextCheck[], before: number) => checks.find((one) => one.before === before)!
const itself = (checks: readonly NextCheck[], check: number) => checks.find((one) => one.check === check)!

describe('a check behind the question of a gate', () => {
  test('brings its gain as often as the answer opens the gate', () => {
    const behind = leadingTo(ask(base), CASE)
    const open = itself(ask(base, answered('ask-on-test', 'yes')), CASE)
    expect(behind.check).toBe(ON_TEST)
    expect(behind.gainBits).toBeCloseTo(ON_TEST_SHARE * open.gainBits, 12)
  })

  test('costs its own minutes as often, and those of the question always', () => {
    const behind = leadingTo(ask(base), CASE)
    expect(behind.minutes).toBeCloseTo(MINUTES + ON_TEST_SHARE * MINUTES, 12)
    expect(behind.bitsPerMinute).toBeCloseTo(behind.gainBits / behind.minutes, 12)
  })

  test('is worth the more the likelier the gate opens', () => {
    const rates = [0.1, 0.3, 0.6, 0.95].map((share) => {
      const contexts = base.contexts.map((one, at) =>
        at === 0 ? { ...one, share } : at === 1 ? { ...one, share: 1 - share } : one,
      )
      const found = leadingTo(ask(smallRelease({ contexts })), CASE) as NextCheck | undefined
      return found?.bitsPerMinute ?? 0
    })
    expect(rates).toEqual([...rates].sort((a, b) => a - b))
    expect(new Set(rates).size).toBe(rates.length)
  })
})

describe('a check behind a result of another', () => {
  const release = withChecks({ [CASE]: { disturbs: [], hazards: [], requires: [{ check: LAMP, result: 'yes' }] } })

  test('counts as often as that result is expected', () => {
    const checks = ask(release)
    const lamp = itself(checks, LAMP)
    const [no, yes] = ['no', 'yes'].map((result) => lamp.results.find((one) => one.result === result)!.probability)
    expect(no! + yes!).toBeCloseTo(1, 12)
    const plain = itself(ask(withChecks({ [CASE]: { disturbs: [], hazards: [] } })), CASE)
    const behind = { ...leadingTo(ask(withChecks({ [LAMP]: { about: [2] }, [CASE]: release.checks[CASE]! })), CASE) }
    expect(behind.gainBits).toBeCloseTo(yes! * plain.gainBits, 12)
    expect(behind.minutes).toBeCloseTo(MINUTES + yes! * MINUTES, 12)
  })

  test('is put as often as all of several questions let it', () => {
    const both = withChecks({ [LAMP]: { about: [2] }, [CASE]: { requires: [{ check: LAMP, result: 'yes' }] } })
    const lamp = itself(ask(base), LAMP).results.find(({ result }) => result === 'yes')!.probability
    const open = itself(ask(base, answered('ask-on-test', 'yes')), CASE)
    const behind = leadingTo(ask(both), CASE)
    expect(behind.gainBits).toBeCloseTo(ON_TEST_SHARE * lamp * open.gainBits, 12)
    expect(behind.minutes).toBeCloseTo(2 * MINUTES + ON_TEST_SHARE * lamp * MINUTES, 12)
  })

  test('counts the chance of any one that is enough', () => {
    const anyOf = ['no', 'yes'].map((result) => ({ check: LAMP, result }))
    const either = withChecks({ [LAMP]: { about: [2] }, [CASE]: { disturbs: [], hazards: [], requiresAny: anyOf } })
    const plain = itself(ask(withChecks({ [CASE]: { disturbs: [], hazards: [] } })), CASE)
    const behind = leadingTo(ask(either), CASE)
    expect(behind.gainBits).toBeCloseTo(plain.gainBits, 12)
    expect(behind.minutes).toBeCloseTo(2 * MINUTES, 12)
  })
})

test('a question about a danger takes nothing from what lies behind it: its sign ends the call anyhow', () => {
  const conditions = base.conditions.map((one) => ({ ...one, askFirst: [SMELL] }))
  const checks = ask(smallRelease({ conditions }))
  const behind = checks.find(({ check }) => check === SMELL)!
  expect(behind.before).toBe(LAMP)
  expect(behind.gainBits).toBe(itself(ask(base), LAMP).gainBits)
  expect(behind.minutes).toBe(2 * MINUTES)
})

describe('a result of which the question alone tells nothing', () => {
  test('takes nothing away: a band of the side of a reading that tells less', () => {
    const requires = [{ check: VOLTAGE, result: 'high' }]
    const plain = itself(ask(withChecks({ [CASE]: { disturbs: [], hazards: [] } })), CASE)
    const behind = leadingTo(
      ask(withChecks({ [VOLTAGE]: { tools: [], about: [2] }, [CASE]: { disturbs: [], hazards: [], requires } })),
      CASE,
    )
    expect(behind.gainBits).toBe(plain.gainBits)
  })

  test('and one that cannot be given any more leads nowhere', () => {
    const contexts = base.contexts.map((one, at) => (at < 2 ? { ...one, share: at } : one))
    expect(leadingTo(ask(smallRelease({ contexts })), CASE)).toBeUndefined()
  })
})
