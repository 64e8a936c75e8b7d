import { lnChoose, lnGamma } from './gamma.ts'
import { risingRoot } from './root.ts'

const MAX_TERMS = 100_000
const TINY = 1e-300

/** Continued fraction of the incomplete beta function, by Lentz's method. */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1
  let d = 1 / (1 - ((a + b) * x) / (a + 1) || TINY)
  let h = d
  const advance = (factor: number) => {
    d = 1 / (1 + factor * d || TINY)
    c = 1 + factor / c || TINY
    h *= d * c
    return d * c
  }
  for (let m = 1; m < MAX_TERMS; m++) {
    advance((m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)))
    const step = advance((-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1)))
    if (Math.abs(step - 1) < 1e-15) break
  }
  return h
}

/**
 * Regularised incomplete beta function: probability that a beta variable is at most x.
 *
 * @param x - 0 to 1
 * @param a - finite and > 0
 * @param b - finite and > 0
 * @source Abramowitz and Stegun 26.5.8, from memory
 * @example betaLowerTail(0.5, 2, 2) // 0.5
 */
export function betaLowerTail(x: number, a: number, b: number): number {
  if (x <= 0) return 0
  if (x >= 1) return 1
  const front = Math.exp(lnGamma(a + b) - lnGamma(a) - lnGamma(b) + a * Math.log(x) + b * Math.log1p(-x))
  return x < (a + 1) / (a + b + 2) ? (front * betaFraction(x, a, b)) / a : 1 - (front * betaFraction(1 - x, b, a)) / b
}

/** Probability of at least `count` successes in `trials` of a given chance each. */
export function binomialUpperTail(count: number, trials: number, chance: number): number {
  return count <= 0 ? 1 : betaLowerTail(chance, count, trials - count + 1)
}

/** Outcomes whose probability differs by less than this share count as equally likely. Judgement, as statistics packages do. */
const ALIKE = 1 + 1e-7

/**
 * Two-sided exact binomial probability: of all outcomes that are no likelier than the one seen.
 *
 * p = sum of C(n, k) q^k (1 - q)^(n - k) over every k with a probability of at most that of the count seen
 *
 * @param count - successes, 0 to trials
 * @param trials - whole number of at least 0
 * @param chance - chance q of a success, above 0 and below 1
 * @source textbook (from memory); the convention of a statistics package's manual (read)
 * @example binomialTwoSided(11, 32, 800 / 3811) // 0.07966863303
 */
export function binomialTwoSided(count: number, trials: number, chance: number): number {
  const ln = (k: number) => lnChoose(trials, k) + k * Math.log(chance) + (trials - k) * Math.log1p(-chance)
  const most = ln(count) + Math.log(ALIKE)
  let sum = 0
  for (let k = 0; k <= trials; k++) {
    const term = ln(k)
    if (term <= most) sum += Math.exp(term)
  }
  return Math.min(1, sum)
}

/**
 * Exact confidence limits of a chance of success.
 *
 * low: P(X >= count | low) = (1 - level) / 2;  high: P(X <= count | high) = (1 - level) / 2
 *
 * @param level - coverage of at least this, such as 0.95
 * @source Clopper and Pearson (1934), from memory
 * @example binomialInterval(0, 10, 0.95).high // 0.3084971, 1 - 0.025^(1/10)
 */
export function binomialInterval(count: number, trials: number, level: number): { low: number; high: number } {
  const tail = (1 - level) / 2
  return {
    low: count === 0 ? 0 : risingRoot((x) => betaLowerTail(x, count, trials - count + 1), tail, 0, 1),
    high: count === trials ? 1 : risingRoot((x) => betaLowerTail(x, count + 1, trials - count), 1 - tail, 0, 1),
  }
}
