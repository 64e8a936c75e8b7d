import { within } from '../quantities/within.ts'

const KELVIN = 273.15
const AT_25_C = 298.15

/**
 * Resistance of an NTC thermistor, in ohm.
 *
 * R = R25 exp(B (1/T - 1/298.15))
 *
 * @validity a constant B errs by some per cent at the cold end: fine to tell open, short and plausible apart
 * @source iec-60539 (as reported)
 * @example thermistorOhm(10000, 3977, 0) // about 33900
 */
export function thermistorOhm(r25Ohm: number, bK: number, temperatureC: number): number {
  within(temperatureC, '/temperature', -80, 300, 'degrees C')
  return r25Ohm * Math.exp(bK * (1 / (temperatureC + KELVIN) - 1 / AT_25_C))
}

/**
 * Temperature of an NTC thermistor, in degrees C: the inverse of thermistorOhm.
 *
 * @example thermistorTemperatureC(10000, 3977, 25400) // 5.53
 */
export function thermistorTemperatureC(r25Ohm: number, bK: number, ohm: number): number {
  within(ohm, '/resistance', 1e-3, 1e9, 'Ohm')
  return 1 / (1 / AT_25_C + Math.log(ohm / r25Ohm) / bK) - KELVIN
}
