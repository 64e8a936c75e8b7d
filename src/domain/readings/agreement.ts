/**
 * Standard uncertainty of a meter whose limit of error is known, in the unit of the limit.
 *
 * u = limit / sqrt(3)
 *
 * @source JCGM 100:2008 4.3.7 (rectangular distribution, from memory)
 * @example standardUncertainty(0.173205) // about 0.1
 */
export const standardUncertainty = (limit: number): number => limit / Math.sqrt(3)

/** Coverage factor: with 2 about one pair in twenty of good readings differs by more. */
const COVERAGE = 2

export interface Measured {
  value: number
  /** Standard uncertainty, in the unit of the value. */
  uncertainty: number
  /** Place of the likeliest band, lowest first. */
  band: number
}

/**
 * Whether two readings of one quantity cannot both be right: the bands are not neighbours, or the values differ by more
 * than both uncertainties explain.
 *
 * |a - b| > 2 sqrt(u_a^2 + u_b^2)
 *
 * @validity for independent meters and a quantity that stands still between the two
 * @source JCGM 100:2008 5.1.2 (uncertainties of a difference), 6.3 (coverage factor), from memory
 * @example isAtOdds({ value: 11.4, uncertainty: 0.04, band: 0 }, { value: 13, uncertainty: 0.04, band: 1 }) // true
 */
export function isAtOdds(a: Measured, b: Measured): boolean {
  const explained = COVERAGE * Math.hypot(a.uncertainty, b.uncertainty)
  return !areNeighbours(a.band, b.band) || Math.abs(a.value - b.value) > explained
}

/** Whether two bands are the same or next to each other, so that what lies on their edge may be called either. */
export const areNeighbours = (a: number, b: number): boolean => Math.abs(a - b) <= 1

/**
 * How far a value lies outside of the healthy band, in its unit; below 0 inside, by the distance to the nearer edge.
 *
 * @param edges - edges between the bands, ascending
 * @param healthy - place of the healthy band
 * @example beyondHealthy(11.4, [12, 14], 1) // about 0.6
 */
export function beyondHealthy(value: number, edges: readonly number[], healthy: number): number {
  const lower = edges[healthy - 1] ?? Number.NEGATIVE_INFINITY
  const upper = edges[healthy] ?? Number.POSITIVE_INFINITY
  return Math.max(lower - value, value - upper)
}
