import { within } from '../quantities/within.ts'

const KELVIN = 273.15
const AT_25_C = 298.15
/** No probe is this cold or hot: the ends stand for an open and a shorted one [degrees C]. */
const COLDEST_C = -80
const HOTTEST_C = 300

/**
 * Temperature of an NTC thermistor, in degrees C; -80 for an open one and 300 for a shorted one.
 *
 * T = 1 / (1 / 298.15 + ln(R / R25) / B), in kelvin
 *
 * @param r25Ohm - resistance at 25 degrees C [Ohm]
 * @param bK - B constant [K]
 * @param ohm - resistance read [Ohm]
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity a constant B errs by some per cent at the cold end: fine to tell open, short and plausible apart
 * @source iec-60539 (as reported)
 * @example thermistorTemperatureC(10000, 3977, 25400) // 5.53
 */
export function thermistorTemperatureC(r25Ohm: number, bK: number, ohm: number): number {
  within(ohm, '/quantity/value', 0, 1e9, 'Ohm')
  within(r25Ohm, '/thermistor/nominalResistance', 1, 1e8, 'Ohm')
  within(bK, '/thermistor/beta', 100, 10_000, 'K')
  const inverseK = 1 / AT_25_C + Math.log(ohm / r25Ohm) / bK
  if (inverseK <= 1 / (HOTTEST_C + KELVIN)) return HOTTEST_C
  return Math.max(COLDEST_C, 1 / inverseK - KELVIN)
}
