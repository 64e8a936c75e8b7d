import { DomainError } from '../errors.ts'

/** Factor on capacity by temperature in degF, reference 77 degF. */
const ROWS: readonly (readonly [number, number])[] = [
  [25, 1.52],
  [30, 1.43],
  [35, 1.35],
  [40, 1.3],
  [45, 1.25],
  [50, 1.19],
  [55, 1.15],
  [60, 1.11],
  [65, 1.08],
  [66, 1.072],
  [67, 1.064],
  [68, 1.056],
  [69, 1.048],
  [70, 1.04],
  [71, 1.034],
  [72, 1.029],
  [73, 1.023],
  [74, 1.017],
  [75, 1.011],
  [76, 1.006],
  [77, 1],
  [78, 0.994],
  [79, 0.987],
  [80, 0.98],
  [81, 0.976],
  [82, 0.972],
  [83, 0.968],
  [84, 0.964],
  [85, 0.96],
  [86, 0.956],
  [87, 0.952],
  [88, 0.948],
  [89, 0.944],
  [90, 0.94],
  [95, 0.93],
  [100, 0.91],
  [105, 0.89],
  [110, 0.88],
  [115, 0.87],
  [120, 0.86],
  [125, 0.85],
]
/** Range of the table as its Celsius column prints it: 25 and 125 degF, rounded. */
const RANGE_C = { from: -3.9, to: 51.7 }
/** Hotter than any place for a battery: likelier degrees Fahrenheit. Judgement. */
const LIKELY_FAHRENHEIT_C = 60

function checkTemperature(temperatureC: number, { from, to }: typeof RANGE_C): void {
  if (temperatureC >= from && temperatureC <= to) return
  const limit = `${from} to ${to} Cel`
  const path = '/temperature'
  if (!Number.isFinite(temperatureC))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `temperature must be finite, got ${temperatureC} Cel`, {
      path,
      value: String(temperatureC),
    })
  const hint = temperatureC > LIKELY_FAHRENHEIT_C ? ': were degrees Fahrenheit meant?' : ''
  throw new DomainError(
    'TEMPERATURE_BEYOND_TABLE',
    `temperature must be within the table, ${limit}, got ${temperatureC} Cel${hint}`,
    { path, limit, value: temperatureC },
  )
}

/**
 * Factor by which a battery must be larger when it is colder than 25 Cel.
 *
 * Linear between the rows of the table.
 *
 * @param temperatureC - lowest temperature of the battery [Cel]
 * @throws DomainError TEMPERATURE_BEYOND_TABLE outside -3.9 to 51.7 Cel: nothing is extrapolated; QUANTITY_OUT_OF_RANGE
 *   when not finite
 * @validity made for vented cells; used for valve-regulated ones for want of better
 * @source ieee-485 table 1: rows of 40 to 120 degF as an open library carries them, the others from memory
 * @example temperatureFactor(10) // 1.19
 */
export function temperatureFactor(temperatureC: number): number {
  checkTemperature(temperatureC, RANGE_C)
  const fahrenheit = Math.min(125, Math.max(25, (temperatureC * 9) / 5 + 32))
  const above = ROWS.findIndex(([row]) => row >= fahrenheit)
  const [highRow, highFactor] = ROWS[above]!
  if (highRow === fahrenheit) return highFactor
  const [lowRow, lowFactor] = ROWS[above - 1]!
  return lowFactor + ((highFactor - lowFactor) * (fahrenheit - lowRow)) / (highRow - lowRow)
}
