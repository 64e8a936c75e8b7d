import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { candidates } from '../../../src/domain/advice/candidates.ts'
import { resultsOf } from '../../../src/domain/advice/check-results.ts'
import { binaryEntropyBits, expectedGainBits } from '../../../src/domain/advice/entropy.ts'
import { searchChecks } from '../../../src/domain/advice/next-checks.ts'
import { oddsAnswers } from '../../../src/domain/advice/odds-answers.ts'
import { costMinutes } from '../../../src/domain/advice/search-state.ts'
import { lookAhead } from '../../../src/domain/advice/two-step.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { searchStateOf } from '../../support/search-state.ts'
import { allRead, holds, present, smallRelease } from '../../support/small-release.ts'

const stateOf = (findings: Finding[], release = smallRelease()) => searchStateOf(release, findings)

test('the budget limits how many checks are evaluated, the same each time', () => {
  const findings = [present('battery-low'), present('supply-missing'), allRead]
  const all = searchChecks(stateOf(findings))
  expect(all.evaluated).toBe(all.of)
  const none = searchChecks(stateOf(findings), 0)
  expect([none.evaluated, none.checks]).toEqual([0, []])
  const some = searchChecks(stateOf(findings), 1)
  expect(some.evaluated).toBeGreaterThan(0)
  expect(some.evaluated).toBeLessThan(all.evaluated)
  expect(searchChecks(stateOf(findings), 1)).toEqual(some)
})

test('every result has a probability between 0 and 1, and those of a full partition sum to 1', () => {
  for (const { results } of searchChecks(stateOf([present('battery-low'), allRead])).checks) {
    const sum = results.reduce((total, { probability }) => total + probability, 0)
    expect(sum).toBeCloseTo(1, 9)
  }
})

const AGE = {
  kind: 'applicability' as const,
  sets: [
    { result: 'old', context: 3 },
    { result: 'hot', context: 4 },
  ],
}
const withAge = () => {
  const base = smallRelease()
  return smallRelease({
    checks: base.checks.map((one, at) => (at === 0 ? { ...one, results: ['old', 'hot'], model: AGE } : one)),
  })
}
const ageResults = (...findings: Finding[]) => {
  const release = withAge()
  const state = stateOf([present('battery-low'), present('supply-missing'), ...findings], release)
  return resultsOf(state, candidates(state).find(({ check }) => check === 0)!).results.filter(
    ({ result }) => result !== '',
  )
}

test('a circumstance known not to hold is no possible result', () => {
  expect(ageResults().map(({ result }) => result)).toEqual(['old', 'hot'])
  expect(ageResults(holds('hot-room', { state: 'does-not-hold' })).map(({ result }) => result)).toEqual(['old'])
})

test('a question whose every answer the evidence rules out is not offered', () => {
  const base = withAge()
  const contexts = base.contexts.map((one, at) => (at === 3 || at === 4 ? { ...one, share: 0.5 } : one))
  const causes = base.causes.map((one, at) => ({ ...one, excludedBy: at < 3 ? [3, 4] : [] }))
  const effects = base.effects.map((one, at) => (at === 0 ? { ...one, leak: [1, 0] } : one))
  const search = searchChecks(stateOf([present('battery-low')], { ...base, contexts, causes, effects }))
  expect(search.checks.filter(({ check }) => check === 0)).toEqual([])
  for (const { gainBits } of search.checks) expect(gainBits).toBeGreaterThan(0)
})

test('a fair coin holds one bit and certainty none', () => {
  expect([0, 0.5, 1].map(binaryEntropyBits)).toEqual([0, 1, 0])
})

test('a check that tells two equal causes apart for sure brings one bit a cause', () => {
  const results = [
    { result: 'a', probability: 0.5, posterior: Array.of(1, 0) },
    { result: 'b', probability: 0.5, posterior: Array.of(0, 1) },
  ]
  expect(expectedGainBits(results, [[0], [1]])).toBeCloseTo(2, 12)
  expect(expectedGainBits(results, [[1]])).toBeCloseTo(1, 12)
  expect(expectedGainBits([], [[0]])).toBe(0)
})

test('a check that tells apart what is repaired alike brings nothing', () => {
  const results = [
    { result: 'a', probability: 0.5, posterior: Array.of(1, 0) },
    { result: 'b', probability: 0.5, posterior: Array.of(0, 1) },
  ]
  expect(expectedGainBits(results, [[0, 1]])).toBe(0)
})

test('an expected gain is never negative and never above the entropy of the mixture', () => {
  const share = fc.double({ min: 0, max: 1, noNaN: true })
  fc.assert(
    fc.property(share, share, share, (weight, first, second) => {
      const results = [
        { result: 'a', probability: weight, posterior: Array.of(first) },
        { result: 'b', probability: 1 - weight, posterior: Array.of(second) },
      ]
      const gain = expectedGainBits(results, [[0]])
      const mixture = weight * first + (1 - weight) * second
      return gain >= 0 && gain <= binaryEntropyBits(mixture) + 1e-12
    }),
  )
})

describe('two steps ahead', () => {
  const offered = (check: number, state: ReturnType<typeof stateOf>) =>
    searchChecks(state).checks.find((next) => next.check === check)!

  test('a check brings at least what it brings alone', () => {
    const state = stateOf([present('battery-low'), present('supply-missing')])
    const { checks } = searchChecks(state)
    expect(checks.length).toBeGreaterThan(1)
    for (const next of checks)
      expect(lookAhead(state, next, checks).twoStepBits).toBeGreaterThanOrEqual(next.gainBits - 1e-12)
  })

  test('without a rival it brings nothing more', () => {
    const state = stateOf([present('battery-low')])
    const [first] = searchChecks(state).checks
    expect(lookAhead(state, first!, [first!])).toEqual({ twoStepBits: first!.gainBits, work: 0 })
  })

  test('together two checks never bring more than there is to know', () => {
    const state = stateOf([present('battery-low'), present('supply-missing')])
    const { checks } = searchChecks(state)
    const entropy = state.groups.reduce(
      (sum, group) =>
        sum +
        binaryEntropyBits(
          Math.min(
            1,
            group.reduce((all, cause) => all + state.posterior[cause]!, 0),
          ),
        ),
      0,
    )
    for (const { check } of checks)
      expect(lookAhead(state, offered(check, state), checks).twoStepBits).toBeLessThanOrEqual(entropy + 1e-9)
  })
})

test('causes that the same technician could cure are told apart where something cheaper comes first', () => {
  const { compiled } = currentRelease()
  const { searched } = advise({
    release: compiled,
    limits: { who: 'caller', tools: [] },
    findings: [
      { kind: 'condition', condition: 'condition/smoke-detector-out-of-range', state: 'present' },
      { kind: 'screen', complete: true },
    ],
  })
  expect(searched.checks.map(({ check }) => compiled.checks[check]!.id)).toContain('check/detector-date-look')
})

test('a check behind several questions costs the minutes of all of them, and its own as often as they let it be put', () => {
  const { compiled } = currentRelease()
  const findings = [present('mains-missing'), allRead]
  const { searched } = advise({ release: compiled, findings, limits: { who: 'caller', tools: [] } })
  const called = (id: string) => compiled.checks.find((check) => check.id === id)!
  const costOf = (id: string) => costMinutes(called(id))
  const feed = called('check/ask-power-feed')
  const { requires, requiresAny = [] } = called('check/see-supply-plugged')
  const opens = (result: string) =>
    [...requires, ...requiresAny].some((one) => compiled.checks[one.check] === feed && one.result === result)
  const state = stateOf(findings, compiled)
  const question = compiled.checks.indexOf(feed)
  const { results } = resultsOf(state, { check: question, answers: oddsAnswers(state, question, undefined) })
  const opening = results.filter(({ result }) => opens(result)).reduce((sum, { probability }) => sum + probability, 0)
  expect(opening).toBeGreaterThan(0.5)
  expect(opening).toBeLessThan(0.95)
  const behind = searched.checks.find(({ before = -1 }) => compiled.checks[before]?.id === 'check/see-supply-plugged')!
  expect(behind.minutes).toBeCloseTo(
    opening * costOf('check/see-supply-plugged') + costOf('check/danger-hot-plug') + costOf('check/ask-power-feed'),
    12,
  )
})
