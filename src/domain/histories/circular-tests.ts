import { normalUpperTail } from '../readings/normal.ts'
import { angleOf, circularSummary } from './circular.ts'
import { lnChoose } from './gamma.ts'

const probability = (value: number) => Math.min(1, Math.max(0, value))

/**
 * Probability that evenly spread times gather round one hour as much as these (Rayleigh test).
 *
 * p = exp(sqrt(1 + 4 n + 4 (n^2 - R^2)) - (1 + 2 n)), z = R^2 / n
 *
 * @param hours - times [h] on the dial, at least one
 * @param periodHours - hours once round the dial
 * @validity one peak of unknown hour; blind to two opposite peaks; rough below 10 points, where it cannot fall under a floor
 * @source Zar, Biostatistical Analysis, exponential form; the polynomial form turns negative for tight samples
 * @example rayleigh([2.9, 3.2, 3.0, 2.7, 3.4, 3.1, 2.5], 24).p // 7.35766231484e-5
 */
export function rayleigh(hours: readonly number[], periodHours: number): { z: number; p: number } {
  const { n, meanResultantLength } = circularSummary(hours, periodHours)
  const resultant = n * meanResultantLength
  const p = Math.exp(Math.sqrt(1 + 4 * n + 4 * (n ** 2 - resultant ** 2)) - (1 + 2 * n))
  return { z: resultant ** 2 / n, p: probability(p) }
}

/**
 * Probability that evenly spread times gather round an hour named beforehand (V test).
 *
 * V = R cos(mean - expected), u = V sqrt(2 / n), p = upper tail of the normal distribution at u
 *
 * @validity an hour that was named before looking; 5 points or more
 * @source Zar, Biostatistical Analysis, example 27.2 (data and figures read in an open library's tests)
 */
export function vTest(
  hours: readonly number[],
  expectedHour: number,
  periodHours: number,
): { v: number; u: number; p: number } {
  const expected = angleOf(expectedHour, periodHours)
  const v = hours.reduce((sum, hour) => sum + Math.cos(angleOf(hour, periodHours) - expected), 0)
  const u = v * Math.sqrt(2 / hours.length)
  return { v, u, p: probability(normalUpperTail(u)) }
}

/** Points on the dial from 0 to 1, in order. */
const turnsOf = (hours: readonly number[], periodHours: number) =>
  hours.map((hour) => (((hour % periodHours) + periodHours) % periodHours) / periodHours).sort((a, b) => a - b)

/**
 * Length of the shortest arc that holds every point, and the probability that evenly spread points fit into one as short.
 *
 * p = sum over k >= 1 of (-1)^(k - 1) C(n, k) (1 - k (1 - w))^(n - 1) while the bracket is positive, w = arc / period
 *
 * @validity exact for every n; meant for fewer than 10 points, where the approximations of other tests are rough
 * @source Mardia and Jupp, Directional Statistics, from memory; checked by simulation
 * @example circularRange([2.9, 3.2, 3.0, 2.7, 3.4, 3.1, 2.5], 24).p // 1.94664001465e-8
 */
export function circularRange(hours: readonly number[], periodHours: number): { rangeHours: number; p: number } {
  const turns = turnsOf(hours, periodHours)
  const n = turns.length
  const widestGap = turns.reduce(
    (widest, turn, index) => Math.max(widest, index === 0 ? turn + 1 - turns[n - 1]! : turn - turns[index - 1]!),
    0,
  )
  let p = 0
  for (let k = 1; k <= n && 1 - k * widestGap > 0; k++)
    p += (k % 2 === 1 ? 1 : -1) * Math.exp(lnChoose(n, k)) * (1 - k * widestGap) ** (n - 1)
  return { rangeHours: (1 - widestGap) * periodHours, p: n === 1 ? 1 : probability(p) }
}

/** Turns this close to half a dial apart count as opposite, whatever the rounding of the times. */
const OPPOSITE = 1e-9

/**
 * Fewest points in any half of the dial, and the probability of so few when the times are evenly spread (Hodges-Ajne).
 *
 * p = (n - 2 m) C(n, m) / 2^(n - 1)
 *
 * @returns no probability where m >= n / 3: the formula does not hold there
 * @validity any shape of pattern that leaves one half of the dial empty; weak for short arcs and few points
 * @source Sprent and Smeeton, example 4.16, p = 0.05859375 (read); Hodges (1955), Ajne (1968), from memory
 * @example hodgesAjne([2.9, 3.2, 3.0, 2.7, 3.4, 3.1, 2.5], 24) // { m: 0, p: 0.109375 }
 */
export function hodgesAjne(hours: readonly number[], periodHours: number): { m: number; p?: number } {
  const turns = turnsOf(hours, periodHours)
  const n = turns.length
  let most = 0
  let end = 0
  for (let start = 0; start < n; start++) {
    const at = (index: number) => turns[index % n]! + (index >= n ? 1 : 0)
    end = Math.max(end, start)
    while (end < start + n && at(end) - turns[start]! < 0.5 - OPPOSITE) end++
    most = Math.max(most, end - start)
  }
  const m = n - most
  if (m >= n / 3) return { m }
  return { m, p: probability((n - 2 * m) * Math.exp(lnChoose(n, m) - (n - 1) * Math.LN2)) }
}

/** Below this the series gives 1 to every digit that matters. */
const KUIPER_SURE_BELOW = 0.4
const KUIPER_TERMS = 100

/**
 * Upper tail of Kuiper's statistic in the form that does not depend on the number of points.
 *
 * p = 2 sum over j >= 1 of (4 j^2 x^2 - 1) exp(-2 j^2 x^2)
 *
 * @source Stephens (1970); Mardia and Jupp, percentage points (from memory)
 * @example kuiperUpperTail(1.747) // 0.05007
 */
export function kuiperUpperTail(x: number): number {
  if (x < KUIPER_SURE_BELOW) return 1
  let sum = 0
  for (let j = 1; j <= KUIPER_TERMS; j++) sum += (4 * j ** 2 * x ** 2 - 1) * Math.exp(-2 * j ** 2 * x ** 2)
  return probability(2 * sum)
}

/**
 * Probability that evenly spread times depart from evenness as much as these, in whatever shape (Kuiper).
 *
 * V = max(i / n - u_i) + max(u_i - (i - 1) / n), V* = V (sqrt n + 0.155 + 0.24 / sqrt n)
 *
 * @validity any number of peaks; about 8 points or more
 * @source Stephens (1970), from memory
 */
export function kuiper(hours: readonly number[], periodHours: number): { v: number; vStar: number; p: number } {
  const turns = turnsOf(hours, periodHours)
  const n = turns.length
  let [above, below] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]
  turns.forEach((turn, index) => {
    above = Math.max(above, (index + 1) / n - turn)
    below = Math.max(below, turn - index / n)
  })
  const v = above + below
  const vStar = v * (Math.sqrt(n) + 0.155 + 0.24 / Math.sqrt(n))
  return { v, vStar, p: kuiperUpperTail(vStar) }
}
