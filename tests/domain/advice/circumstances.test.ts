import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { oddsFactors } from '../../../src/domain/advice/circumstances.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { CAUSE, smallRelease } from '../../support/small-release.ts'

const { compiled } = currentRelease()
const LINE: Finding = { kind: 'condition', condition: 'condition/phone-line-missing', state: 'present' }
const answer = (check: string, result: string): Finding => ({ kind: 'answer', check, result })
const of = (cause: string, ...findings: Finding[]) => {
  const index = compiled.causes.findIndex(({ id }) => id === cause)
  return advise({ release: compiled, findings, limits: { who: 'caller', tools: [] } }).posterior[index]!
}

describe('an answer that names none of the circumstances', () => {
  test('lowers what they would raise', () => {
    const ended = (...more: Finding[]) => of('cause/phone-service-ended', LINE, ...more)
    expect(ended(answer('check/ask-phone-changes', 'none'))).toBeLessThan(0.95 * ended())
    expect(ended(answer('check/ask-phone-changes', 'dont-know'))).toBe(ended())
  })

  test('says the same as each of them denied', () => {
    const denied = ['phone-service-cancelled', 'phone-service-changed', 'new-router'].map(
      (name): Finding => ({ kind: 'context', context: `context/${name}`, state: 'does-not-hold' }),
    )
    expect(of('cause/phone-service-ended', LINE, ...denied)).toBeCloseTo(
      of('cause/phone-service-ended', LINE, answer('check/ask-phone-changes', 'none')),
      12,
    )
  })
})

/** A release with one context of its own of this share and factor on the worn battery. */
const withContext = (share: number, factor: number, dimension?: string) =>
  smallRelease({
    causes: smallRelease().causes.map((one) => ({ ...one, excludedBy: [] })),
    contexts: [
      {
        id: 'context/one',
        ...(dimension === undefined ? {} : { dimension }),
        share,
        shifts: [{ cause: CAUSE.batteryWorn, factor }],
      },
      { id: 'context/two', ...(dimension === undefined ? {} : { dimension }), share: 0.3, shifts: [] },
    ],
    checks: [],
    gates: [],
    hazards: [],
    remedies: [],
  })
const factorWhen = (release: ReturnType<typeof smallRelease>, degree: number) =>
  oddsFactors(release, new Map([[0, degree]]))[CAUSE.batteryWorn]!

/** Shares of the contexts of a dimension, at most 1 in all, each with a factor; 0 excludes the cause. */
const dimensions = fc
  .array(
    fc.record({
      part: fc.double({ min: 0.01, max: 1, noNaN: true }),
      factor: fc.oneof(
        fc.constant(0),
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        fc.double({ min: 1, max: 100, noNaN: true }),
      ),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .chain((members) =>
    fc.oneof(fc.constant(0), fc.double({ min: 0.01, max: 3, noNaN: true })).map((rest) => {
      const sum = members.reduce((total, { part }) => total + part, rest)
      return members.map(({ part, factor }) => ({ share: part / sum, factor }))
    }),
  )
  .filter((members) => members.some(({ factor }) => factor > 0))

const withDimension = (members: readonly { share: number; factor: number }[]) =>
  smallRelease({
    contexts: members.map(({ share, factor }, at) => ({
      id: `context/${at}`,
      dimension: 'one',
      share,
      shifts: factor === 0 ? [] : [{ cause: CAUSE.batteryWorn, factor }],
    })),
    causes: smallRelease().causes.map((one, cause) => ({
      ...one,
      excludedBy: cause === CAUSE.batteryWorn ? members.flatMap(({ factor }, at) => (factor === 0 ? [at] : [])) : [],
    })),
    checks: [],
    gates: [],
    hazards: [],
    remedies: [],
  })

describe('asking moves nothing by itself, whatever shares and factors say', () => {
  const odds = (release: ReturnType<typeof smallRelease>, ...degrees: [number, number][]) =>
    oddsFactors(release, new Map(degrees))[CAUSE.batteryWorn]!

  test('over all the circumstances of a dimension and none of them', () => {
    fc.assert(
      fc.property(dimensions, (members) => {
        const release = withDimension(members)
        const rest = members.reduce((left, { share }) => left - share, 1)
        const none = rest > 1e-9 ? rest * odds(release, ...members.map((_, at): [number, number] => [at, -1])) : 0
        const balance = members.reduce((sum, { share }, at) => sum + share * odds(release, [at, 1]), none)
        expect(balance).toBeCloseTo(1, 9)
      }),
    )
  })

  test('over one of them and its denial', () => {
    fc.assert(
      fc.property(dimensions, fc.nat(3), (members, which) => {
        const release = withDimension(members)
        const at = which % members.length
        const { share } = members[at]!
        const denied = share < 1 - 1e-9 ? (1 - share) * odds(release, [at, -1]) : 0
        expect(share * odds(release, [at, 1]) + denied).toBeCloseTo(1, 9)
      }),
    )
  })

  test('and the factors keep their order and their ratios', () => {
    fc.assert(
      fc.property(dimensions, (members) => {
        const factors = members.map((_, at) => odds(withDimension(members), [at, 1]))
        const [first] = members
        members.forEach(({ factor }, at) => {
          expect(factors[at]! * first!.factor).toBeCloseTo(factors[0]! * factor, 6)
        })
      }),
    )
  })
})

test('a share and factor that leave less than nothing are read as against those in whom it does not hold', () => {
  const release = withContext(0.4, 3)
  expect(factorWhen(release, 1)).toBeCloseTo(3 / (0.4 * 3 + 0.6), 12)
  expect(factorWhen(release, -1)).toBeCloseTo(1 / (0.4 * 3 + 0.6), 12)
})

test('a share and factor that leave enough count as they are stated', () => {
  expect(factorWhen(withContext(0.2, 3), 1)).toBe(3)
})

test('of a clock that is not set, the age of the system is asked without the question moving the cell by itself', () => {
  const findings: Finding[] = [
    { kind: 'condition', condition: 'condition/clock-not-set', state: 'present' },
    { kind: 'screen', complete: true },
    answer('check/ask-power-both-lost', 'stayed-lit'),
    answer('check/ask-clock-ever-right', 'was-right'),
    answer('check/clock-lost-every-restart', 'every-time'),
  ]
  const { searched, posterior } = advise({ release: compiled, findings, limits: { who: 'caller', tools: [] } })
  const cell = compiled.causes.findIndex(({ id }) => id === 'cause/clock-cell-worn')
  const age = searched.checks.find(({ check }) => compiled.checks[check]!.id === 'check/ask-system-age')!
  const [lowest, highest] = [Math.min, Math.max].map((pick) => pick(...age.results.map((one) => one.posterior[cell]!)))
  const expected = age.results.reduce((sum, one) => sum + one.probability * one.posterior[cell]!, 0)
  expect(highest! - lowest!).toBeGreaterThan(0.1)
  expect(Math.abs(expected - posterior[cell]!)).toBeLessThan(0.02)
})

test('a denial never moves odds below a fifth, however the shares and factors disagree', () => {
  expect(factorWhen(withContext(0.5, 20), -1)).toBeCloseTo(0.2, 12)
})

test('a denial that is worth nothing moves nothing, a doubtful one less than a sure one', () => {
  const release = withContext(0.2, 3)
  expect(factorWhen(release, -0)).toBe(1)
  expect(factorWhen(release, -0.5)).toBeGreaterThan(factorWhen(release, -1))
  expect(factorWhen(release, -0.5)).toBeLessThan(1)
})

test('where another context of the dimension holds, the denial adds nothing', () => {
  const release = withContext(0.2, 3, 'age')
  const both = oddsFactors(
    release,
    new Map([
      [0, -1],
      [1, 1],
    ]),
  )
  expect(both[CAUSE.batteryWorn]).toBe(1)
})
