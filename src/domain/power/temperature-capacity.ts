import { DomainError } from '../errors.ts'
import { interpolate } from '../quantities/interpolate.ts'

/** Rates of the columns [h]. */
const RATE_HOURS = [0.25, 1, 5, 8, 20] as const
/** Temperature [degrees C] and the factor on capacity at each rate. */
const ROWS: readonly (readonly [number, readonly number[]])[] = [
  [-9.4, [0.55, 0.58, 0.65, 0.705, 0.735]],
  [-6.7, [0.6, 0.63, 0.69, 0.735, 0.765]],
  [-3.9, [0.65, 0.68, 0.735, 0.765, 0.79]],
  [-1.1, [0.7, 0.725, 0.765, 0.79, 0.815]],
  [1.7, [0.74, 0.765, 0.8, 0.82, 0.84]],
  [4.4, [0.78, 0.8, 0.83, 0.845, 0.865]],
  [7.2, [0.82, 0.84, 0.855, 0.87, 0.89]],
  [10.0, [0.86, 0.865, 0.88, 0.895, 0.91]],
  [12.8, [0.875, 0.89, 0.91, 0.92, 0.93]],
  [15.8, [0.92, 0.93, 0.94, 0.945, 0.95]],
  [18.3, [0.94, 0.95, 0.955, 0.96, 0.965]],
  [21.1, [0.96, 0.97, 0.975, 0.975, 0.98]],
  [25.0, [1.0, 1.0, 1.0, 1.0, 1.0]],
  [26.7, [1.01, 1.005, 1.003, 1.002, 1.001]],
  [29.4, [1.03, 1.02, 1.015, 1.01, 1.005]],
  [32.2, [1.04, 1.025, 1.02, 1.015, 1.01]],
  [35.0, [1.05, 1.03, 1.025, 1.02, 1.015]],
]

/** Factors that other sources print for the same thing; they differ by 5 to 10 points in the cold. */
const GENERAL_SHEET = [
  [-10, 0.74],
  [10, 0.9],
  [25, 1],
  [30, 1.03],
] as const

/**
 * Factor on the capacity of a valve-regulated battery at a temperature and rate, reference 25 degrees C.
 *
 * linear in temperature between rows, linear in ln(duration) between columns; beyond 20 h the 20 h column
 *
 * @param temperatureC - temperature of the battery [degrees C], -9.4 to 35
 * @param durationHours - time of discharge [h], > 0
 * @throws DomainError TEMPERATURE_BEYOND_TABLE
 * @source king-knight p. 199 (read)
 * @example capacityTemperatureFactor(5, 20) // 0.8704
 */
export function capacityTemperatureFactor(temperatureC: number, durationHours: number): number {
  const logHours = Math.log(Math.min(Math.max(durationHours, RATE_HOURS[0]), RATE_HOURS[4]))
  const atRate = (factors: readonly number[]) =>
    interpolate(
      factors.map((factor, column) => [Math.log(RATE_HOURS[column]!), factor] as const),
      logHours,
    )!
  const factor = interpolate(
    ROWS.map(([temperature, factors]) => [temperature, atRate(factors)] as const),
    temperatureC,
  )
  if (factor !== undefined) return factor
  const limit = `${ROWS[0]![0]} to ${ROWS.at(-1)![0]} degrees C`
  throw new DomainError(
    'TEMPERATURE_BEYOND_TABLE',
    `temperature must be within ${limit}, got ${temperatureC} degrees C`,
    {
      path: '/temperature',
      limit,
      value: temperatureC,
    },
  )
}

/**
 * Lowest and highest factor on capacity that the sources give at a temperature and rate.
 *
 * @returns equal from 25 degrees C up to where the sources agree; apart in the cold
 * @throws DomainError TEMPERATURE_BEYOND_TABLE
 * @source king-knight p. 199 (read); general data sheet 103, 100, 90, 74 % at 30, 25, 10, -10 degrees C (read);
 * 1 % a degree below 25 (common practice, no source)
 */
export function capacityTemperatureRange(temperatureC: number, durationHours: number): { low: number; high: number } {
  const known = [capacityTemperatureFactor(temperatureC, durationHours)]
  // Above its last row the data sheet still says "at least that much": dropping it would make a warmer battery last less.
  known.push(interpolate(GENERAL_SHEET, Math.min(temperatureC, GENERAL_SHEET.at(-1)![0]))!)
  if (temperatureC < 25) known.push(1 - 0.01 * (25 - temperatureC))
  return { low: Math.min(...known), high: Math.max(...known) }
}
