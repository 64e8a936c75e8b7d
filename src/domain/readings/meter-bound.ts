/**
 * Limit of error of a meter reading, in the unit of the reading.
 *
 * b = |reading| * percent / 100 + counts * resolution
 *
 * @param counts - digits of the last place shown
 * @param resolution - one unit of the last place shown
 * @source usual statement of meter accuracy; worked in public (read)
 * @example meterBound(120, 1, 3, 0.1) // 1.5
 */
export const meterBound = (reading: number, percentOfReading: number, counts: number, resolution: number): number =>
  (Math.abs(reading) * percentOfReading) / 100 + counts * resolution

/**
 * Whether a reading is above or below a limit by the hard bound of its meter.
 *
 * |reading - limit| <= bound: cannot tell
 *
 * @source a stated limit of error never leaves its bound; JCGM 100:2008 4.3.7 (from memory)
 * @example verdictAgainst(12.6, 0.093, 12.5) // 'above'
 */
export function verdictAgainst(reading: number, bound: number, limit: number): 'above' | 'below' | 'cannot-tell' {
  if (Math.abs(reading - limit) <= bound) return 'cannot-tell'
  return reading > limit ? 'above' : 'below'
}
