/** Hours on the dial. */
export const DAY_HOURS = 24
/** Hours in a week, Monday 00:00 to Sunday 24:00. */
export const WEEK_HOURS = 168

/** Below this mean resultant length the directions cancel out and there is no mean. */
const NO_DIRECTION = 1e-9

/** Chi-square at 95 % on one degree of freedom. */
const CHI_SQUARE = 3.841458820694124

export interface CircularSummary {
  n: number
  /** Share of the points that would have to agree: 0 spread evenly, 1 all at one hour. */
  meanResultantLength: number
  /** Mean direction on the dial [h]; none when the directions cancel out. */
  meanHours?: number
  /** Half width of the 95 % interval of the mean [h]; none when the points are too spread to give one. */
  halfWidthHours?: number
}

export const angleOf = (hours: number, periodHours: number) => (2 * Math.PI * hours) / periodHours

/**
 * Half width of the 95 % interval of a mean direction, in radians.
 *
 * r <= 0.9: acos(sqrt(2 n (2 R^2 - n c) / (4 n - c)) / R);  r > 0.9: acos(sqrt(n^2 - (n^2 - R^2) e^(c / n)) / R),
 * with R = n r and c = chi-square at 95 % on one degree of freedom
 *
 * @returns nothing where r <= sqrt(c / (2 n)) or the formula has no value
 * @source Zar, Biostatistical Analysis, after Upton (1986); formula from memory, it gives the printed 31 degrees
 */
export function meanHalfWidthRadians(n: number, r: number): number | undefined {
  const resultant = n * r
  const cosine =
    r <= 0.9
      ? Math.sqrt((2 * n * (2 * resultant ** 2 - n * CHI_SQUARE)) / (4 * n - CHI_SQUARE)) / resultant
      : Math.sqrt(n ** 2 - (n ** 2 - resultant ** 2) * Math.exp(CHI_SQUARE / n)) / resultant
  const isGiven = r > Math.sqrt(CHI_SQUARE / (2 * n)) && cosine >= -1 && cosine <= 1
  return isGiven ? Math.acos(cosine) : undefined
}

/**
 * Mean of times on a dial with its 95 % interval: never the plain mean, which midnight splits.
 *
 * C = sum cos a, S = sum sin a, R = sqrt(C^2 + S^2), r = R / n, mean = atan2(S, C)
 *
 * @param hours - times [h] on the dial, at least one
 * @param periodHours - hours once round the dial
 * @validity one peak; two opposite peaks have no mean
 * @source Zar, Biostatistical Analysis, chapter 26 (data and figures read in an open library's tests)
 * @example circularSummary([23.5, 0.25, 23.9, 0.6, 23.2], 24).meanHours // 23.8899615884
 */
export function circularSummary(hours: readonly number[], periodHours: number): CircularSummary {
  const n = hours.length
  let [cosines, sines] = [0, 0]
  for (const hour of hours) {
    const angle = angleOf(hour, periodHours)
    cosines += Math.cos(angle)
    sines += Math.sin(angle)
  }
  const meanResultantLength = Math.min(1, Math.hypot(cosines, sines) / n)
  if (meanResultantLength < NO_DIRECTION) return { n, meanResultantLength }
  const turn = Math.atan2(sines, cosines) / (2 * Math.PI)
  const halfWidth = meanHalfWidthRadians(n, meanResultantLength)
  return {
    n,
    meanResultantLength,
    meanHours: ((turn + 1) % 1) * periodHours,
    ...(halfWidth !== undefined && { halfWidthHours: (halfWidth * periodHours) / (2 * Math.PI) }),
  }
}
