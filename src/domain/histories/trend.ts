import { normalUpperTail } from '../readings/normal.ts'
import { gammaUpperTail } from './gamma.ts'
import { kendallTwoSided, risingPairs } from './kendall.ts'

export interface Trend {
  n: number
  /** Above 0: the events come ever faster. */
  laplaceZ: number
  /** Two-sided, of the Laplace test. */
  p: number
  /** Small beside its degrees of freedom: the events come ever faster. */
  militaryHandbook: { chiSquare: number; degreesOfFreedom: number; p: number }
  /** Pairs of gaps of which the later is the longer; above the expected number: the events come ever slower. */
  reversals: { pairs: number; expected: number; p: number }
}

/**
 * Whether events come ever faster or slower over a watched time.
 *
 * Laplace z = sqrt(12 n) * sum(t_i - T / 2) / (n T);  chi-square = 2 sum ln(T / t_i) on 2 n degrees of freedom;
 * reversals = pairs of gaps with the later one longer, n (n - 1) / 4 expected
 *
 * @param ages - times of the events since the start of the watch, rising, above 0 and below `end`, at least one
 * @param end - length of the watch in the same unit; it must not be set by the last event
 * @returns two-sided probabilities that equal rates give as much
 * @validity independent events under an even watch; z is near normal from 4 events on
 * @source NIST/SEMATECH e-Handbook of Statistical Methods 8.2.3.4 (formulas read)
 * @example trendOf([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500).laplaceZ // -1.326949183
 */
export function trendOf(ages: readonly number[], end: number): Trend {
  const n = ages.length
  const sum = ages.reduce((total, age) => total + (age - end / 2), 0)
  const laplaceZ = (Math.sqrt(12 * n) * sum) / (n * end)
  const chiSquare = 2 * ages.reduce((total, age) => total + Math.log(end / age), 0)
  const upper = gammaUpperTail(n, chiSquare / 2)
  const gaps = ages.map((age, index) => age - (ages[index - 1] ?? 0))
  const pairs = risingPairs(gaps)
  return {
    n,
    laplaceZ,
    p: Math.min(1, 2 * normalUpperTail(Math.abs(laplaceZ))),
    militaryHandbook: { chiSquare, degreesOfFreedom: 2 * n, p: Math.min(1, 2 * Math.min(upper, 1 - upper)) },
    reversals: { pairs, expected: (n * (n - 1)) / 4, p: n < 2 ? 1 : kendallTwoSided(n, pairs) },
  }
}
