import { within } from '../quantities/within.ts'
import { binomialInterval, binomialTwoSided } from './binomial.ts'
import { gammaLowerTail } from './gamma.ts'
import { risingRoot } from './root.ts'

/** Coverage of every interval of this core. */
export const LEVEL = 0.95

export interface Rate {
  count: number
  /** Days under watch. */
  exposureDays: number
  perDay: number
  /** Exact 95 % limits of the rate [1/d]. */
  lowPerDay: number
  highPerDay: number
}

/** Value that a gamma variable of this shape stays below with the given probability. */
const gammaQuantile = (shape: number, share: number) =>
  risingRoot((x) => gammaLowerTail(shape, x), share, 0, 2 * shape + 50)

/**
 * Exact 95 % limits of the mean of a Poisson count.
 *
 * low = chi-square(0.025; 2 n) / 2, 0 for n = 0;  high = chi-square(0.975; 2 n + 2) / 2
 *
 * @param count - whole number of at least 0
 * @validity events independent of each other: bursts are to be thinned first
 * @source Garwood (1936), from memory; 3.689 for a count of 0 as a public page prints it (read)
 * @example poissonInterval(0).high // 3.688879454113936
 */
export function poissonInterval(count: number): { low: number; high: number } {
  const tail = (1 - LEVEL) / 2
  return { low: count === 0 ? 0 : gammaQuantile(count, tail), high: gammaQuantile(count + 1, 1 - tail) }
}

/**
 * Rate of events over a time under watch, per day, with exact 95 % limits.
 *
 * @param exposureDays - time under watch [d], > 0; time off line is not part of it
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @source Garwood (1936), from memory
 * @example rateOf(137, 24.19893).perDay // 5.661407343
 */
export function rateOf(count: number, exposureDays: number): Rate {
  within(count, '/count', 0, 1e7, '1')
  within(exposureDays, '/exposure', 1e-6, 1e7, 'd')
  const { low, high } = poissonInterval(count)
  return {
    count,
    exposureDays,
    perDay: count / exposureDays,
    lowPerDay: low / exposureDays,
    highPerDay: high / exposureDays,
  }
}

export interface RateChange {
  recent: { count: number; days: number }
  before: { count: number; days: number }
  /** Rate of the recent time over that before; none when nothing came before. */
  ratio?: number
  lowRatio: number
  /** None when nothing came before: no limit. */
  highRatio?: number
  p: number
}

/**
 * Whether two rates differ, by the exact conditional test.
 *
 * given n = n1 + n2, n1 is binomial with the chance t1 / (t1 + t2) when the rates are equal;
 * limits of the ratio = odds of the exact limits of n1 / n times t2 / t1
 *
 * @param recent - count and days of one time
 * @param before - count and days of the other
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity independent events, and a split that was fixed before looking; two-sided
 * @source Przyborowski and Wilenski (1940), from memory; convention of a statistics package's manual (read)
 * @example compareRates({ count: 9, days: 30 }, { count: 3, days: 90 }).ratio // 9
 */
export function compareRates(
  recent: { count: number; days: number },
  before: { count: number; days: number },
): RateChange {
  within(recent.days, '/recent/days', 1e-6, 1e6, 'd')
  within(before.days, '/before/days', 1e-6, 1e6, 'd')
  const trials = recent.count + before.count
  const { low, high } = binomialInterval(recent.count, trials, LEVEL)
  const inRates = (share: number) => ((share / (1 - share)) * before.days) / recent.days
  return {
    recent,
    before,
    ...(before.count > 0 && { ratio: recent.count / recent.days / (before.count / before.days) }),
    lowRatio: inRates(low),
    ...(before.count > 0 && { highRatio: inRates(high) }),
    p: binomialTwoSided(recent.count, trials, recent.days / (recent.days + before.days)),
  }
}
