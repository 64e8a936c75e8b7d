import { DomainError } from '../errors.ts'
import { interpolate } from '../quantities/interpolate.ts'
import { within } from '../quantities/within.ts'

/** Temperature [degF] and factor KT on the time of a capacity test, reference 77 degF. */
const ROWS: readonly (readonly [number, number])[] = [
  [40, 0.67],
  [45, 0.735],
  [50, 0.79],
  [55, 0.84],
  [60, 0.882],
  [65, 0.92],
  [66, 0.927],
  [67, 0.935],
  [68, 0.942],
  [69, 0.948],
  [70, 0.955],
  [71, 0.96],
  [72, 0.97],
  [73, 0.975],
  [74, 0.98],
  [75, 0.986],
  [76, 0.99],
  [77, 1.0],
  [78, 1.002],
  [79, 1.007],
  [80, 1.011],
  [81, 1.017],
  [82, 1.023],
  [83, 1.03],
  [84, 1.035],
  [85, 1.04],
  [86, 1.045],
  [87, 1.05],
  [88, 1.055],
  [89, 1.06],
  [90, 1.065],
  [95, 1.09],
  [100, 1.112],
  [105, 1.14],
  [110, 1.162],
  [115, 1.183],
  [120, 1.21],
]

/**
 * Factor on the time of a capacity test for the temperature of the battery: below 1 in the cold.
 *
 * @param temperatureC - temperature of the battery [degrees C]; the table is in degF
 *
 * @throws DomainError TEMPERATURE_BEYOND_TABLE
 * @validity not the factor on the size of a battery, which is above 1 in the cold
 * @source ieee-450 and ieee-1188, time-adjusted method, as an open library carries the table (read)
 * @example capacityTestFactor(15.5556) // 0.882, at 60 degF
 */
function capacityTestFactor(temperatureC: number): number {
  const temperatureF = (temperatureC * 9) / 5 + 32
  const factor = interpolate(ROWS, Number(temperatureF.toFixed(9)))
  if (factor !== undefined) return factor
  throw new DomainError(
    'TEMPERATURE_BEYOND_TABLE',
    `temperature must be within 4.4 to 48.9 degrees C (40 to 120 degF), got ${temperatureC} degrees C`,
    { path: '/temperature', limit: '4.4 to 48.9 degrees C', value: temperatureC },
  )
}

/**
 * Capacity that a discharge test shows, as a fraction of the rated one.
 *
 * capacity = actual time / (rated time * KT)
 *
 * @param actualHours - time to the end voltage at the rated current [h]
 * @param ratedHours - rated time at that current [h]
 * @param temperatureC - temperature of the battery [degrees C]; no correction when left out
 * @source ieee-450 time-adjusted method (as reported)
 * @example testedCapacityFraction(3.2, 4, 15.5556) // 0.9070
 */
export function testedCapacityFraction(actualHours: number, ratedHours: number, temperatureC?: number): number {
  within(actualHours, '/duration', 0, 1e4, 'h')
  within(ratedHours, '/ratedDuration', 1e-3, 1e4, 'h')
  return actualHours / (ratedHours * (temperatureC === undefined ? 1 : capacityTestFactor(temperatureC)))
}
