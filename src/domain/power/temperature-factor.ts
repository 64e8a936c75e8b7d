import { DomainError } from '../errors.ts'

/**
 * Cell-size factor against battery temperature [degF], reference 77 degF (25 C).
 * IEEE Std 485 Table 1: rows 40 to 120 degF read in an open library that carries the table; 25, 30, 35 and 125 from memory.
 */
export const TEMPERATURE_FACTOR_ROWS: readonly (readonly [temperatureF: number, factor: number])[] = [
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

/** Range of the table as its Celsius column prints it (25 and 125 degF, rounded). */
export const TEMPERATURE_TABLE_RANGE_C = { from: -3.9, to: 51.7 } as const
/** Range in which the extension polynomial is offered; judgement. */
export const TEMPERATURE_EXTENSION_RANGE_C = { from: -20, to: 60 } as const

interface RangeC {
  from: number
  to: number
}

function withinRange(temperatureC: number, { from, to }: RangeC): void {
  if (temperatureC >= from && temperatureC <= to) return
  if (!Number.isFinite(temperatureC))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `batteryTemperatureC must be finite, got ${temperatureC} C`, {
      path: '/batteryTemperatureC',
      value: String(temperatureC),
    })
  const hint = temperatureC > 60 ? '; was it given in degrees Fahrenheit?' : '; choose another place for the battery'
  throw new DomainError(
    'TEMPERATURE_BEYOND_TABLE',
    `batteryTemperatureC must be from ${from} to ${to} C, got ${temperatureC} C${hint}`,
    { path: '/batteryTemperatureC', limit: temperatureC < from ? from : to, value: temperatureC },
  )
}

/**
 * Factor by which a cell must be larger than at the reference temperature; linear between rows.
 *
 * @param temperatureC - lowest battery temperature to be served [C]
 * @param referenceTemperatureC - temperature at which the rated capacity holds [C], 25 unless the curves say otherwise
 * @returns factor, 1 at the reference, above 1 in the cold
 * @throws DomainError TEMPERATURE_BEYOND_TABLE outside -3.9 to 51.7 C; QUANTITY_OUT_OF_RANGE when not finite
 * @validity made for vented lead-acid cells; used for valve-regulated ones for want of better. Not the inverse of the
 *   capacity-by-temperature table
 * @source ieee-485 Table 1
 * @example cellSizeTemperatureFactor(10) // 1.19
 */
export function cellSizeTemperatureFactor(temperatureC: number, referenceTemperatureC = 25): number {
  const shiftedC = temperatureC - (referenceTemperatureC - 25)
  withinRange(shiftedC, TEMPERATURE_TABLE_RANGE_C)
  const rows = TEMPERATURE_FACTOR_ROWS
  const temperatureF = (shiftedC * 9) / 5 + 32
  const next = rows.findIndex(([rowF]) => rowF >= temperatureF)
  if (next <= 0) return next === 0 ? rows[0]![1] : rows.at(-1)![1]
  const [lowerF, lower] = rows[next - 1]!
  const [upperF, upper] = rows[next]!
  if (upperF === temperatureF) return upper
  return lower + ((upper - lower) * (temperatureF - lowerF)) / (upperF - lowerF)
}

/**
 * The same factor from a polynomial that one power-system program uses outside the table.
 *
 * factor = -2.8117 x^3 + 4.1916 x^2 - 2.4941 x + 1.405, x = temperatureC / 100
 *
 * @param temperatureC - battery temperature [C], -20 to 60
 * @returns factor; 0.9995 at 25 C shows its fit error
 * @throws DomainError TEMPERATURE_BEYOND_TABLE outside -20 to 60 C; QUANTITY_OUT_OF_RANGE when not finite
 * @validity not part of the standard; only on request and flagged
 * @source power-program-help-2010
 * @example cellSizeTemperatureFactorPolynomial(0) // 1.405
 */
export function cellSizeTemperatureFactorPolynomial(temperatureC: number): number {
  withinRange(temperatureC, TEMPERATURE_EXTENSION_RANGE_C)
  const x = temperatureC / 100
  return ((-2.8117 * x + 4.1916) * x - 2.4941) * x + 1.405
}
