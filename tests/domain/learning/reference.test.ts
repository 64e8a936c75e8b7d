import { readFileSync } from 'node:fs'
import { afterAll, describe, expect, test } from 'vitest'
import { binomialInterval } from '../../../src/domain/histories/binomial.ts'
import { betaQuantile } from '../../../src/domain/learning/beta.ts'
import {
  brierParts,
  brierScore,
  calibrate,
  type Forecast,
  logScore,
  reliabilityBins,
} from '../../../src/domain/learning/calibration.ts'
import { estimateRate, rateInterval } from '../../../src/domain/learning/estimate.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'

interface Row {
  id: string
  given: Record<string, any>
  expected: Record<string, any>
  tolerance: number
}
const rows: Row[] = JSON.parse(readFileSync('tests/reference/learning/learning.json', 'utf8'))
const row = (id: string) => rows.find((one) => one.id === id)!

let worst = { error: 0, at: '' }
let compared = 0
function near(at: string, actual: number, expected: number, tolerance: number): void {
  const error = Math.abs(actual - expected)
  compared++
  if (error > worst.error) worst = { error, at: `${at}: ${actual} against ${expected}` }
  expect(error, `${at}: ${actual} against ${expected}`).toBeLessThanOrEqual(tolerance)
}
let worstQuantile = { relative: 0, at: '' }
function sameQuantile(at: string, actual: number, expected: number): void {
  const relative = Math.abs(actual / expected - 1)
  if (relative > worstQuantile.relative) worstQuantile = { relative, at }
  expect(relative, `${at}: ${actual} against ${expected}`).toBeLessThan(1e-9)
}
afterAll(() =>
  console.info(
    `learning: ${compared} reference figures, worst absolute error ${worst.error.toExponential(2)} (${worst.at}); ` +
      `beta quantiles, worst relative error ${worstQuantile.relative.toExponential(2)} (${worstQuantile.at})`,
  ),
)

describe('beta quantiles', () => {
  const SHARES = [1e-4, 0.025, 0.05, 0.3, 0.5, 0.95, 0.975, 0.9999]

  test('are x = p^(1/a) with b = 1 and 1 - (1 - p)^(1/b) with a = 1', () => {
    for (const shape of [0.5, 1, 2, 7.3, 40, 900])
      for (const share of SHARES) {
        sameQuantile(`Beta(${shape}, 1) at ${share}`, betaQuantile(share, shape, 1), share ** (1 / shape))
        const high = -Math.expm1(Math.log1p(-share) / shape)
        sameQuantile(`Beta(1, ${shape}) at ${share}`, betaQuantile(share, 1, shape), high)
      }
  })

  test('are those of the arcsine distribution with a = b = 1/2', () => {
    for (const share of SHARES)
      sameQuantile(`arcsine at ${share}`, betaQuantile(share, 0.5, 0.5), Math.sin((Math.PI * share) / 2) ** 2)
  })

  test('hold the share that summing the density over small steps gives', () => {
    /** Composite Simpson rule in t with x = t^3, which tames the density at 0. */
    const below = (x: number, a: number, b: number) => {
      const steps = 20_000
      const end = Math.cbrt(x)
      const density = (t: number) => 3 * t ** (3 * a - 1) * (1 - t ** 3) ** (b - 1)
      const over = (to: number) => {
        const h = to / steps
        let total = density(0) + density(to)
        for (let k = 1; k < steps; k++) total += (k % 2 === 1 ? 4 : 2) * density(k * h)
        return (total * h) / 3
      }
      return over(end) / over(1)
    }
    let worstShare = 0
    for (const [a, b] of [
      [2, 18],
      [2.4, 17.6],
      [3, 37],
      [5.4, 18.6],
      [2, 998],
      [14, 1200],
    ] as const)
      for (const share of [0.05, 0.5, 0.95]) {
        const error = Math.abs(below(betaQuantile(share, a, b), a, b) - share)
        worstShare = Math.max(worstShare, error)
        expect(error, `Beta(${a}, ${b}) at ${share}`).toBeLessThan(1e-8)
      }
    console.info(`beta quantiles against Simpson's rule: worst share off by ${worstShare.toExponential(2)}`)
  })
})

describe('rates', () => {
  test('agree with the published interval of placenta praevia births', () => {
    const { given, expected, tolerance } = row('diag-le-01')
    const [a, b] = expected.posterior as [number, number]
    expect([given.prior[0] + given.success, given.prior[1] + given.trials - given.success]).toEqual([a, b])
    const { low, high } = rateInterval({ mean: a / (a + b), a, b }, 0.95)
    near('mean', a / (a + b), expected.mean, tolerance)
    near('low', low, expected.interval95[0], tolerance)
    near('high', high, expected.interval95[1], tolerance)
  })

  test('agree with the rat tumours: mean and spread', () => {
    const { given, expected, tolerance } = row('diag-le-02')
    const [a, b] = given.prior as [number, number]
    const got = estimateRate({
      prior: a / (a + b),
      strength: a + b,
      confirmed: given.success,
      known: given.trials,
      unknown: 0,
      claimed: 0,
    })
    near('a', got.a, expected.posterior[0], 1e-12)
    near('mean', got.mean, expected.mean, tolerance)
    near('sd', Math.sqrt((got.mean * (1 - got.mean)) / (got.a + got.b + 1)), expected.sd, tolerance)
  })

  test.each(['diag-le-03', 'diag-le-04'])('agree with the beta-binomial of %s', (id) => {
    const { given, expected, tolerance } = row(id)
    const got = estimateRate({
      prior: given.pooledMean,
      strength: given.priorStrength,
      confirmed: given.success,
      known: given.trials,
      unknown: 0,
      claimed: 0,
    })
    near(`${id} mean`, got.mean, expected.mean, tolerance)
    near(`${id} a`, got.a, expected.posterior[0], tolerance)
    near(`${id} b`, got.b, expected.posterior[1], tolerance)
  })

  test('count a confirmed call and leave the prior to one that the engine merely thought likely', () => {
    const { given, expected } = row('diag-le-05')
    const [a, b] = given.prior as [number, number]
    const alone = { prior: a / (a + b), strength: a + b, claimed: 0 }
    const one = estimateRate({ ...alone, confirmed: 1, known: 1, unknown: 0 })
    near('a', one.a, expected.onlyConfirmedCounts[0], 1e-12)
    near('b', one.b, expected.onlyConfirmedCounts[1], 1e-12)
    const both = estimateRate({ ...alone, confirmed: 1, known: 1, unknown: 1 })
    near('half of the calls known', both.mean, (one.mean + alone.prior) / 2, 1e-12)
  })
})

describe('scores', () => {
  const forecastsOf = ({ forecasts, outcomes }: Row['given']): Forecast[] =>
    forecasts.map((probability: number, at: number) => ({ probability, happened: outcomes[at] === 1 }))

  test('agree with the printed examples of the Brier and the log score', () => {
    near('brier', brierScore(forecastsOf(row('diag-sc-01').given)), row('diag-sc-01').expected.brier, 1e-12)
    near('log', logScore(forecastsOf(row('diag-sc-02').given)), row('diag-sc-02').expected.logLoss, 1e-12)
    const single = row('diag-sc-04')
    near('single brier', brierScore([{ probability: 0.7, happened: true }]), single.expected.brier, 1e-12)
    near('single log', logScore([{ probability: 0.7, happened: true }]), single.expected.logLossNats, 1e-12)
  })

  test('take the Brier score of five bins apart as the partition of Murphy says', () => {
    const { given, expected, tolerance } = row('diag-sc-03')
    const forecasts: Forecast[] = given.bins.flatMap(({ forecast, n, events }: any) =>
      Array.from({ length: n }, (_, at) => ({ probability: forecast, happened: at < events })),
    )
    const parts = brierParts(forecasts)
    near('brier', brierScore(forecasts), expected.brier, tolerance)
    near('reliability', parts.reliability, expected.reliability, tolerance)
    near('resolution', parts.resolution, expected.resolution, tolerance)
    near('uncertainty', parts.uncertainty, expected.uncertainty, tolerance)
    near('within bins', parts.withinBins, 0, tolerance)
  })

  test('come out the same taken apart and summed directly, whatever the forecasts', () => {
    const random = drawsFrom(7)
    for (let round = 0; round < 50; round++) {
      const forecasts = Array.from({ length: 1 + Math.floor(random() * 300) }, () => {
        const probability = random() ** 3
        return { probability, happened: random() < probability }
      })
      const { reliability, resolution, uncertainty, withinBins } = brierParts(forecasts)
      near('parts', reliability - resolution + uncertainty + withinBins, brierScore(forecasts), 1e-12)
      expect(reliabilityBins(forecasts).reduce((sum, { count }) => sum + count, 0)).toBe(forecasts.length)
    }
  })

  test('have bins with the exact limits of Clopper and Pearson, none and all included', () => {
    for (const [happened, count] of [
      [0, 10],
      [10, 10],
      [1, 30],
      [7, 300],
      [480, 50_000],
    ] as const) {
      const forecasts = Array.from({ length: count }, (_, at) => ({ probability: 0.01, happened: at < happened }))
      const [bin] = reliabilityBins(forecasts)
      const { low, high } = binomialInterval(happened, count, 0.95)
      near(`low of ${happened} in ${count}`, bin!.low, low, 1e-9)
      near(`high of ${happened} in ${count}`, bin!.high, high, 1e-9)
    }
    // 3 in 10: the printed limits of many tables, 0.0667 and 0.6525 (from memory).
    const [three] = reliabilityBins(Array.from({ length: 10 }, (_, at) => ({ probability: 0.3, happened: at < 3 })))
    expect([three!.low.toFixed(4), three!.high.toFixed(4)]).toEqual(['0.0667', '0.6525'])
  })

  test('have limits that widen when the forecasts of a call hang together', () => {
    const random = drawsFrom(3)
    const alone = Array.from({ length: 400 }, (): Forecast[] => [{ probability: 0.3, happened: random() < 0.3 }])
    const together = Array.from({ length: 40 }, () => alone[0]!.map(() => alone[Math.floor(random() * 400)]![0]!)).map(
      ([one]) => Array.from({ length: 10 }, () => one!),
    )
    const width = ({ brier }: ReturnType<typeof calibrate>) => brier.high! - brier.low!
    expect(width(calibrate(together))).toBeGreaterThan(2 * width(calibrate(alone)))
    expect(calibrate([alone[0]!]).brier).not.toHaveProperty('low')
  })

  test('stay finite for a certainty that was wrong', () => {
    expect(logScore([{ probability: 0, happened: true }])).toBeCloseTo(-Math.log(1e-6), 12)
  })
})
