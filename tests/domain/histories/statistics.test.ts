import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  betaLowerTail,
  binomialInterval,
  binomialTwoSided,
  binomialUpperTail,
} from '../../../src/domain/histories/binomial.ts'
import { circularSummary } from '../../../src/domain/histories/circular.ts'
import { circularRange, hodgesAjne, kuiper, rayleigh } from '../../../src/domain/histories/circular-tests.ts'
import { densestArc } from '../../../src/domain/histories/densest-arc.ts'
import { adjustForNumber } from '../../../src/domain/histories/false-discovery.ts'
import { gammaLowerTail, gammaUpperTail, lnGamma } from '../../../src/domain/histories/gamma.ts'
import { kendallTwoSided, risingPairs } from '../../../src/domain/histories/kendall.ts'
import { compareRates, poissonInterval } from '../../../src/domain/histories/rates.ts'
import { medianLasting } from '../../../src/domain/histories/survival.ts'
import { theilSen } from '../../../src/domain/histories/theil-sen.ts'
import { trendOf } from '../../../src/domain/histories/trend.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'

/** Times to the millisecond, so that a rotation moves no point past another by rounding. */
const hour = fc.integer({ min: 0, max: 86_399_999 }).map((ms) => ms / 3_600_000)
const times = fc.array(hour, { minLength: 2, maxLength: 40 })
const turned = (hours: readonly number[], by: number) => hours.map((each) => (each + by) % 24)

const TESTS = {
  Rayleigh: (hours: number[]) => rayleigh(hours, 24).p,
  'circular range': (hours: number[]) => circularRange(hours.slice(0, 9), 24).p,
  'Hodges-Ajne': (hours: number[]) => hodgesAjne(hours, 24).p ?? 1,
  Kuiper: (hours: number[]) => kuiper(hours, 24).p,
}

describe.each(Object.entries(TESTS))('the %s test', (_, pOf) => {
  test('gives a probability, whatever the times', () => {
    fc.assert(
      fc.property(times, (hours) => {
        const p = pOf(hours)
        expect(p).toBeGreaterThanOrEqual(0)
        expect(p).toBeLessThanOrEqual(1)
      }),
    )
  })

  test('does not depend on where the dial begins', () => {
    fc.assert(
      fc.property(times, hour, (hours, by) => {
        expect(pOf(turned(hours, by))).toBeCloseTo(pOf(hours), 8)
      }),
    )
  })

  test('does not depend on the order of the times', () => {
    fc.assert(
      fc.property(fc.array(hour, { minLength: 2, maxLength: 9 }), (hours) => {
        expect(pOf(hours.toReversed())).toBeCloseTo(pOf(hours), 9)
      }),
    )
  })
})

/** Share of evenly spread samples of n that a test calls clear at 5 %. */
function falseShare(n: number, pOf: (hours: number[]) => number): number {
  const draw = drawsFrom(20_260_301 + n)
  const rounds = 4000
  let clear = 0
  for (let round = 0; round < rounds; round++) if (pOf(Array.from({ length: n }, () => 24 * draw())) <= 0.05) clear++
  return clear / rounds
}

describe('evenly spread times are called a pattern about as often as they may be', () => {
  // 4000 samples at 5 %: three standard errors are 1.03 points.
  test.each([5, 12, 40])('by the Rayleigh test, %i times', (n) => {
    expect(Math.abs(falseShare(n, TESTS.Rayleigh) - 0.05)).toBeLessThan(0.0104)
  })
  test.each([5, 9])('by the exact range test, %i times', (n) => {
    expect(Math.abs(falseShare(n, TESTS['circular range']) - 0.05)).toBeLessThan(0.0104)
  })
  test.each([12, 40])('by the Kuiper test, %i times', (n) => {
    expect(Math.abs(falseShare(n, TESTS.Kuiper) - 0.05)).toBeLessThan(0.0154)
  })
  test.each([12, 40])('never more often by the Hodges-Ajne test, %i times', (n) => {
    const share = falseShare(n, TESTS['Hodges-Ajne'])
    expect(share).toBeLessThan(0.0604)
    expect(share).toBeGreaterThan(0)
  })
})

describe('the mean of times of day', () => {
  test('turns with the dial', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 1, maxLength: 20 }), hour, (early, by) => {
        const mean = circularSummary(early, 24).meanHours!
        const moved = circularSummary(turned(early, by), 24).meanHours!
        const apart = Math.abs(moved - mean - by + 48) % 24
        expect(Math.min(apart, 24 - apart)).toBeLessThan(1e-6)
      }),
    )
  })

  test('has no interval where the times are too spread', () => {
    expect(circularSummary([1, 4, 9, 13, 16, 22], 24).halfWidthHours).toBeUndefined()
  })
})

test('the densest arc holds at least its share, and runs over midnight', () => {
  fc.assert(
    fc.property(times, (hours) => {
      const { count, widthHours } = densestArc(hours, 24, 0.75)
      expect(count).toBeGreaterThanOrEqual(Math.ceil(0.75 * hours.length - 1e-9))
      expect(widthHours).toBeLessThan(24)
    }),
  )
  expect(densestArc([23.5, 0.25, 12, 0.5], 24, 0.75)).toMatchObject({ fromHours: 23.5, toHours: 0.5, count: 3 })
})

describe('tails of distributions', () => {
  test('the gamma function at whole and half numbers', () => {
    expect(lnGamma(5)).toBeCloseTo(Math.log(24), 12)
    expect(lnGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 12)
    expect(lnGamma(101)).toBeCloseTo(363.7393755556, 9)
  })

  test('the gamma tail is the Poisson probability of fewer events', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60 }), fc.double({ min: 0.01, max: 100, noNaN: true }), (shape, mean) => {
        let term = Math.exp(-mean)
        let sum = 0
        for (let k = 0; k < shape; k++) {
          sum += term
          term *= mean / (k + 1)
        }
        expect(gammaUpperTail(shape, mean)).toBeCloseTo(sum, 11)
        expect(gammaLowerTail(shape, mean) + gammaUpperTail(shape, mean)).toBeCloseTo(1, 12)
      }),
    )
  })

  test('the beta tail against its closed form for whole numbers', () => {
    expect(betaLowerTail(0.3, 1, 4)).toBeCloseTo(1 - 0.7 ** 4, 13)
    expect(betaLowerTail(0.3, 4, 1)).toBeCloseTo(0.3 ** 4, 13)
    expect(binomialUpperTail(2, 3, 0.5)).toBeCloseTo(0.5, 13)
  })

  test('exact limits of a share against their closed forms', () => {
    expect(binomialInterval(0, 10, 0.95).high).toBeCloseTo(1 - 0.025 ** 0.1, 12)
    expect(binomialInterval(10, 10, 0.95)).toEqual({ low: expect.closeTo(0.025 ** 0.1, 12), high: 1 })
  })

  test('a two-sided binomial probability by hand', () => {
    // 1 of 8 at one half: the outcomes 0, 1, 7 and 8 have 1, 8, 8 and 1 ways of 256.
    expect(binomialTwoSided(1, 8, 0.5)).toBeCloseTo(18 / 256, 12)
  })
})

describe('rates', () => {
  test('the limits enclose the count, and hold what they promise', () => {
    for (const count of [0, 1, 2, 7, 30, 400]) {
      const { low, high } = poissonInterval(count)
      expect(low).toBeLessThanOrEqual(count)
      expect(high).toBeGreaterThan(count)
      expect(gammaUpperTail(count + 1, high)).toBeCloseTo(0.025, 9)
      if (count > 0) expect(gammaLowerTail(count, low)).toBeCloseTo(0.025, 9)
    }
  })

  test('exchanging the two times turns the ratio over and keeps the probability', () => {
    const count = fc.integer({ min: 1, max: 60 })
    const days = fc.integer({ min: 1, max: 400 })
    fc.assert(
      fc.property(count, count, days, days, (a, b, daysA, daysB) => {
        const one = compareRates({ count: a, days: daysA }, { count: b, days: daysB })
        const other = compareRates({ count: b, days: daysB }, { count: a, days: daysA })
        expect(one.ratio! * other.ratio!).toBeCloseTo(1, 9)
        expect(one.lowRatio * other.highRatio!).toBeCloseTo(1, 7)
        expect(other.p).toBeCloseTo(one.p, 9)
      }),
    )
  })

  test('a time without events gives no ratio and no upper limit', () => {
    const { ratio, highRatio, lowRatio } = compareRates({ count: 4, days: 30 }, { count: 0, days: 90 })
    expect([ratio, highRatio]).toEqual([undefined, undefined])
    expect(lowRatio).toBeGreaterThan(0)
  })
})

describe('trend', () => {
  const ages = fc
    .uniqueArray(fc.integer({ min: 1, max: 9999 }), { minLength: 2, maxLength: 40 })
    .map((list) => list.sort((a, b) => a - b))

  test('Laplace turns its sign when time runs backwards', () => {
    fc.assert(
      fc.property(ages, (list) => {
        const back = list.map((age) => 10_000 - age).toReversed()
        expect(trendOf(back, 10_000).laplaceZ).toBeCloseTo(-trendOf(list, 10_000).laplaceZ, 9)
      }),
    )
  })

  test('every probability is one', () => {
    fc.assert(
      fc.property(ages, (list) => {
        const { p, militaryHandbook, reversals } = trendOf(list, 10_000)
        for (const each of [p, militaryHandbook.p, reversals.p]) {
          expect(each).toBeGreaterThanOrEqual(0)
          expect(each).toBeLessThanOrEqual(1)
        }
      }),
    )
  })

  test('events that crowd towards the end come ever faster', () => {
    expect(trendOf([50, 80, 90, 95, 98, 99], 100).laplaceZ).toBeGreaterThan(2)
  })
})

describe('pairs and their probability', () => {
  test('rising pairs as counted one by one', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 60 }), (values) => {
        let pairs = 0
        for (const [at, value] of values.entries())
          pairs += values.slice(at + 1).filter((later) => later > value).length
        expect(risingPairs(values)).toBe(pairs)
      }),
    )
  })

  test('the exact distribution for four values has 1, 3, 5, 6, 5, 3 and 1 orders of 24', () => {
    expect(kendallTwoSided(4, 6)).toBeCloseTo(2 / 24, 12)
    expect(kendallTwoSided(4, 1)).toBeCloseTo(8 / 24, 12)
    expect(kendallTwoSided(4, 3)).toBeCloseTo(1, 12)
  })

  test('the normal approximation takes over without a step', () => {
    const pairsAt = (n: number) => Math.round((n * (n - 1)) / 4 + 1.6 * Math.sqrt((n * (n - 1) * (2 * n + 5)) / 72))
    expect(Math.abs(kendallTwoSided(40, pairsAt(40)) - kendallTwoSided(41, pairsAt(41)))).toBeLessThan(0.01)
  })

  test('a straight fall has its own slope and the least probability', () => {
    const { slope, tau, p } = theilSen([0, 1, 2, 3, 4], [10, 8, 6, 4, 2])
    expect([slope, tau]).toEqual([-2, -1])
    expect(p).toBeCloseTo(2 / 120, 12)
  })

  test('one outlier does not move the middle slope', () => {
    expect(theilSen([0, 1, 2, 3, 4, 5], [10, 9, 8, 7, 6, 400]).slope).toBe(-1)
  })
})

describe('the number of tests', () => {
  test('is allowed for as worked out by hand', () => {
    const adjusted = adjustForNumber([0.01, 0.04, 0.03, 0.2])
    expect(adjusted).toEqual([0.04, 0.16 / 3, 0.16 / 3, 0.2].map((value) => expect.closeTo(value, 12)))
  })

  test('never makes a probability smaller, and keeps their order', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 30 }), (list) => {
        const adjusted = adjustForNumber(list)
        list.forEach((p, at) => {
          expect(adjusted[at]).toBeGreaterThanOrEqual(p - 1e-15)
          expect(adjusted[at]).toBeLessThanOrEqual(1)
          list.forEach((other, index) => {
            if (other > p) expect(adjusted[index]).toBeGreaterThanOrEqual(adjusted[at]!)
          })
        })
      }),
    )
  })
})

describe('half of them last', () => {
  const ended = (hours: number) => ({ hours, isEnded: true })
  const atLeast = (hours: number) => ({ hours, isEnded: false })

  test('the median when every end was seen', () => {
    expect(medianLasting([ended(3), ended(1), ended(2)])).toBe(2)
  })

  test('later when some were only watched for a while', () => {
    // At 6 h one of three has ended, at 9 h the last one watched: 2/3, then 0.
    expect(medianLasting([ended(6), atLeast(8), ended(9)])).toBe(9)
  })

  test('nothing when more than half outlast every watch', () => {
    expect(medianLasting([ended(6), atLeast(8), atLeast(9)])).toBeUndefined()
  })
})
