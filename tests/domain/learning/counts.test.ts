import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { carryOver } from '../../../src/domain/learning/carry-over.ts'
import { estimateRate, rateInterval, strengthOf } from '../../../src/domain/learning/estimate.ts'
import { learnRates, type PublishedCause, ratesOf, teachesNothing } from '../../../src/domain/learning/learn.ts'
import { judgeOutcome, type LearningFacts, type Outcome } from '../../../src/domain/learning/outcome.ts'
import { monthOf, tallyOutcomes } from '../../../src/domain/learning/tally.ts'
import { ageWeight, weighTally } from '../../../src/domain/learning/weigh.ts'

const cause = (isPerDevice = false, remedies: string[] = [], group?: string) => ({
  isPerDevice,
  remedies: new Set(remedies),
  ...(group === undefined ? {} : { group }),
})
const facts: LearningFacts = {
  causes: new Map([
    ['worn', cause(false, ['new-battery'], 'battery')],
    ['absent', cause(false, ['fit-battery'], 'battery')],
    ['outage', cause()],
    ['flat-cell', cause(true, ['new-cell'])],
  ]),
  remedies: new Set(['new-battery', 'fit-battery', 'new-cell', 'reset']),
}
const published: PublishedCause[] = [
  { id: 'worn', prior: 0.1, isPerDevice: false, group: 'battery' },
  { id: 'absent', prior: 0.02, isPerDevice: false, group: 'battery' },
  { id: 'outage', prior: 0.05, isPerDevice: false },
  { id: 'flat-cell', prior: 0.03, isPerDevice: true },
]
const DAY = 86_400_000
const NOW = Date.UTC(2026, 5, 15)
const NONE = new Map<string, readonly string[]>()
const ended = (conclusion: Outcome['conclusion'], closedAt = NOW): Outcome => ({
  closedAt,
  conclusion,
  confirmed: [],
  devices: [],
  hasUnnamedDevice: false,
})
const confirmed = (id: string, by: Outcome['confirmed'][number]['by'], more: Partial<Outcome> = {}): Outcome => ({
  ...ended('confirmed'),
  confirmed: [{ cause: id, by }],
  ...more,
})
const times = <T>(count: number, make: (at: number) => T) => Array.from({ length: count }, (_, at) => make(at))
const countsOf = (outcomes: readonly Outcome[]) => weighTally(tallyOutcomes(outcomes, facts), monthOf(NOW))
const ratesAfter = (outcomes: readonly Outcome[]) => ratesOf(learnRates(countsOf(outcomes), published, NONE))

describe('what counts', () => {
  test.each([
    ['a check', confirmed('worn', 'check'), []],
    ['a technician', confirmed('worn', 'technician'), []],
    ['a repair with a remedy for it', confirmed('worn', 'repair', { remedy: 'new-battery' }), []],
    ['a repair with a remedy nobody published', confirmed('worn', 'repair', { remedy: 'own~mend' }), []],
  ])('counts: %s', (_, outcome, reasons) => {
    expect(judgeOutcome(outcome, facts)).toMatchObject({ isCounted: true, counted: [{ cause: 'worn' }], reasons })
  })

  test.each([
    ['said', confirmed('worn', 'said', { remedy: 'new-battery' }), 'said'],
    ['a repair after which nothing cleared', confirmed('worn', 'repair'), 'repair-without-clearing'],
    ['a repair that cannot cure it', confirmed('worn', 'repair', { remedy: 'reset' }), 'repair-without-clearing'],
    ['gone by itself', ended('gone-by-itself'), 'gone-by-itself'],
    ['not confirmed', ended('not-confirmed'), 'not-confirmed'],
    ['confirmed without a name', ended('confirmed'), 'nothing-named'],
  ])('does not count: %s', (_, outcome, reason) => {
    expect(judgeOutcome(outcome, facts)).toMatchObject({ isCounted: false, counted: [], reasons: [reason] })
  })

  test('does not count causes that exclude each other', () => {
    const both = confirmed('worn', 'check', {
      confirmed: [
        { cause: 'worn', by: 'check' },
        { cause: 'absent', by: 'check' },
      ],
    })
    expect(judgeOutcome(both, facts)).toMatchObject({
      isCounted: false,
      reasons: ['excluding-each-other', 'excluding-each-other'],
    })
  })

  test('takes the best confirmation of a cause that is named twice, once', () => {
    const twice = confirmed('worn', 'check', {
      confirmed: [
        { cause: 'worn', by: 'said' },
        { cause: 'worn', by: 'check' },
        { cause: 'worn', by: 'technician' },
      ],
    })
    expect(judgeOutcome(twice, facts)).toMatchObject({ counted: [{ cause: 'worn' }], claimed: [], reasons: [] })
  })

  test('counts the copies of a device that were named, one where a device was spoken of, else none', () => {
    const copies = (more: Partial<Outcome>) => judgeOutcome({ ...ended('confirmed'), ...more }, facts).devices
    expect(copies({ devices: ['a', 'b'], hasUnnamedDevice: true })).toBe(2)
    expect(copies({ hasUnnamedDevice: true })).toBe(1)
    expect(copies({})).toBe(0)
    expect(copies({ confirmed: [{ cause: 'flat-cell', by: 'check' }] })).toBe(1)
    expect(copies({ devices: ['a'], confirmed: [{ cause: 'flat-cell', device: 'b', by: 'said' }] })).toBe(2)
  })
})

describe('counts', () => {
  test('fall into calendar months of UTC', () => {
    for (const day of [0, 1, 59, 365, 730, 11_016, 20_000, 20_512, 47_540, -1, -400]) {
      const date = new Date(day * DAY + 12_345)
      expect(monthOf(day * DAY + 12_345)).toBe((date.getUTCFullYear() - 1970) * 12 + date.getUTCMonth())
    }
    fc.assert(
      fc.property(fc.integer({ min: -2e12, max: 5e12 }), (ms) => {
        const date = new Date(ms)
        expect(monthOf(ms)).toBe((date.getUTCFullYear() - 1970) * 12 + date.getUTCMonth())
      }),
    )
  })

  test('are the same for every order of the outcomes, to the last bit', () => {
    const some = times(60, (at) =>
      confirmed(['worn', 'outage', 'flat-cell'][at % 3]!, at % 7 === 0 ? 'said' : 'check', {
        closedAt: NOW - at * 20 * DAY,
      }),
    )
    fc.assert(
      fc.property(fc.shuffledSubarray(some, { minLength: some.length }), (mixed) => {
        expect(JSON.stringify(tallyOutcomes(mixed, facts))).toBe(JSON.stringify(tallyOutcomes(some, facts)))
        expect([...ratesAfter(mixed)]).toEqual([...ratesAfter(some)])
      }),
      { numRuns: 20 },
    )
  })

  test('halve with every two years of age', () => {
    expect([ageWeight(0), ageWeight(24), ageWeight(48)]).toEqual([1, 0.5, 0.25])
    const old = Date.UTC(2024, 5, 2)
    const counts = countsOf([confirmed('worn', 'check'), confirmed('worn', 'check', { closedAt: old })])
    expect(counts.causes.get('worn')!.confirmed).toBe(1.5)
    expect(counts.calls).toEqual({ known: 1.5, unknown: 0 })
  })

  test('fade until the published rate is back', () => {
    const outcomes = times(100, () => confirmed('worn', 'check', { closedAt: 0 }))
    const later = (months: number) =>
      ratesOf(learnRates(weighTally(tallyOutcomes(outcomes, facts), months), published, NONE)).get('worn')!
    expect(later(0)).toBeGreaterThan(0.8)
    expect(later(24)).toBeLessThan(later(0))
    expect(later(600)).toBeCloseTo(0.1, 4)
  })

  test('start at a reset', () => {
    const outcomes = [confirmed('worn', 'check', { closedAt: NOW - DAY }), confirmed('outage', 'check')]
    const { months } = tallyOutcomes(outcomes, facts, { from: NOW })
    expect(months.map(({ calls, causes }) => [calls.known, causes.map((one) => one.cause)])).toEqual([[1, ['outage']]])
  })
})

describe('rates', () => {
  test('do not move a bit by confirmations that do not count', () => {
    const biased = [
      ...times(500, () => confirmed('worn', 'said')),
      ...times(500, () => confirmed('worn', 'repair')),
      ...times(500, () => ended('gone-by-itself')),
      ...times(500, () => ended('not-confirmed')),
    ]
    expect(teachesNothing(countsOf(biased), new Map())).toBe(true)
    for (const { id, prior } of published) expect(ratesAfter(biased).get(id)).toBe(prior)
  })

  test('are never lifted above what honest outcomes say by confirmations that do not count', () => {
    const honest = [...times(30, () => confirmed('outage', 'check')), ...times(5, () => confirmed('worn', 'check'))]
    const before = ratesAfter(honest)
    for (const many of [1, 10, 100, 1000]) {
      const after = ratesAfter([...honest, ...times(many, () => confirmed('worn', 'said'))])
      for (const { id, prior } of published) {
        expect(after.get(id)!, id).toBeLessThanOrEqual(Math.max(prior, before.get(id)!) + 1e-12)
        expect(after.get(id)!, id).toBeGreaterThanOrEqual(Math.min(prior, before.get(id)!) - 1e-12)
      }
    }
  })

  test('of a cause that is only ever claimed do not fall because the rest is confirmed', () => {
    const outcomes = [...times(88, () => confirmed('outage', 'check')), ...times(12, () => confirmed('worn', 'repair'))]
    expect(ratesAfter(outcomes).get('worn')).toBeCloseTo(0.1, 12)
    const without = outcomes.filter(({ confirmed: [one] }) => one!.cause !== 'worn')
    expect(ratesAfter(without).get('worn')!).toBeLessThan(0.03)
  })

  test('are not inflated by leaving out the calls that nobody could explain', () => {
    const outcomes = [
      ...times(20, () => confirmed('worn', 'check')),
      ...times(30, () => confirmed('outage', 'check')),
      ...times(150, () => ended('gone-by-itself')),
    ]
    const amongConfirmed = 20 / 50
    const amongAll = 20 / 200
    const learned = ratesAfter(outcomes).get('worn')!
    expect(learned).toBeLessThan((amongConfirmed + 0.1) / 2)
    expect(learned).toBeGreaterThan(amongAll)
  })

  test('lie between the prior and what the known calls say, within (0, 1), with an interval around them', () => {
    const count = fc.double({ min: 0, max: 2000, noNaN: true })
    const share = fc.double({ min: 0, max: 1, noNaN: true })
    fc.assert(
      fc.property(
        fc.double({ min: 1e-4, max: 0.6, noNaN: true }),
        count,
        count,
        share,
        share,
        (prior, known, unknown, p, q) => {
          const strength = strengthOf(prior)
          const evidence = { prior, strength, known, unknown, confirmed: p * known, claimed: q * unknown }
          const { mean, a, b } = estimateRate(evidence)
          const among = (strength * prior + evidence.confirmed) / (strength + known)
          expect(mean).toBeGreaterThanOrEqual(Math.min(prior, among) * (1 - 1e-9))
          expect(mean).toBeLessThanOrEqual(Math.max(prior, among) * (1 + 1e-9))
          const { low, high } = rateInterval({ mean, a, b }, 0.9)
          expect(low).toBeLessThan(mean)
          expect(high).toBeGreaterThan(mean)
          expect(low).toBeGreaterThan(0)
          expect(high).toBeLessThan(1)
        },
      ),
    )
  })

  test.each([
    ['prior', { prior: 0 }],
    ['known', { known: Number.NaN }],
    ['confirmed', { confirmed: 11 }],
    ['claimed', { claimed: 6 }],
    ['unknown', { unknown: -1 }],
  ])('refuse a %s out of range, by name', (name, wrong) => {
    const evidence = { prior: 0.1, strength: 20, confirmed: 1, known: 10, unknown: 5, claimed: 0, ...wrong }
    expect(() => estimateRate(evidence)).toThrow(name)
  })

  test('rise with each confirmed case and by at most half for the first one', () => {
    for (const prior of [1e-4, 0.001, 0.01, 0.09, 0.3]) {
      const rateAfter = (cases: number) =>
        estimateRate({ prior, strength: strengthOf(prior), confirmed: cases, known: 1, unknown: 0, claimed: 0 }).mean
      expect(rateAfter(1)).toBeGreaterThan(rateAfter(0))
      expect(rateAfter(1) / prior).toBeLessThanOrEqual(1.5)
    }
  })

  test('of causes that exclude each other leave room for none of them', () => {
    const outcomes = [
      ...times(4000, () => confirmed('worn', 'check')),
      ...times(40, () => confirmed('absent', 'check')),
    ]
    const rates = ratesAfter(outcomes)
    expect(rates.get('worn')! + rates.get('absent')!).toBeLessThanOrEqual(0.98 + 1e-12)
  })

  test('of devices are counted for each device', () => {
    const outcomes = times(100, () => ({
      ...confirmed('flat-cell', 'check', { confirmed: [{ cause: 'flat-cell', device: 'a', by: 'check' as const }] }),
      devices: ['a', 'b', 'c', 'd'],
    }))
    expect(ratesAfter(outcomes).get('flat-cell')!).toBeCloseTo(
      (0.03 * strengthOf(0.03) + 100) / (strengthOf(0.03) + 400),
      12,
    )
  })
})

describe('a change of the ontology', () => {
  const counts = countsOf(times(10, () => confirmed('worn', 'check')))
  const learned = (list: readonly string[], replaced: [string, string[]][]) =>
    learnRates(
      counts,
      list.map((id) => ({ id, prior: 0.1, isPerDevice: false })),
      new Map(replaced),
    )

  test('carries counts over to a one-to-one successor, over two steps too', () => {
    const direct = ratesOf(learned(['worn'], [])).get('worn')
    expect(
      ratesOf(
        learned(
          ['aged'],
          [
            ['worn', ['old']],
            ['old', ['aged']],
          ],
        ),
      ).get('aged'),
    ).toBe(direct)
  })

  test('freezes the counts at a split: neither part gains, and neither falls', () => {
    const { causes, frozen } = learned(['a', 'b', 'c'], [['worn', ['a', 'b']]])
    expect(frozen).toEqual([{ cause: 'worn', confirmed: 10, into: ['a', 'b'] }])
    const rates = new Map(causes.map(({ cause: id, estimate }) => [id, estimate.mean]))
    expect(rates.get('a')).toBe(0.1)
    expect(rates.get('b')).toBe(0.1)
    expect(rates.get('c')!).toBeLessThan(0.1)
  })

  test('gives a withdrawn cause no learned rate of its own', () => {
    expect([...ratesOf(learned(['worn', 'aged'], [['worn', ['aged']]])).keys()]).toEqual(['aged'])
  })

  test('does not loop where replacements run in a circle', () => {
    expect(
      carryOver(
        counts,
        new Map([
          ['worn', ['x']],
          ['x', ['worn']],
        ]),
      ).causes.size,
    ).toBe(1)
  })
})
