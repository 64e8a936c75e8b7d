import { DomainError } from '../errors.ts'
import { within } from '../quantities/within.ts'

/** Resistivity of annealed copper at 20 degrees C, 100 % IACS [Ohm mm2/m]: 1/58. */
export const COPPER_OHM_MM2_PER_M = 1 / 58
/** Copper-clad aluminium, from memory. */
export const COPPER_CLAD_OHM_MM2_PER_M = 0.02743
/** Temperature coefficient of copper at 20 degrees C [1/K]. */
const COPPER_PER_K = 0.00393
/** Lay of the strands lengthens the current's way by about this. */
const STRANDED_FACTOR = 1.02

/** Gauges by their name: 0 to 0000 are n = 0 to -3, which no number can tell apart. */
const LARGE_GAUGES: Record<string, number> = { '0': 0, '00': -1, '000': -2, '0000': -3 }

/** Number of an American wire gauge by its name. @throws DomainError QUANTITY_OUT_OF_RANGE */
export function gaugeNumber(awg: string): number {
  const number = LARGE_GAUGES[awg] ?? (/^[1-9]\d?$/.test(awg) ? Number(awg) : Number.NaN)
  if (number <= 40) return number
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `awg must be 0000 to 40, got ${awg}`, {
    path: '/wire/awg',
    limit: '0000 to 40',
    value: awg,
  })
}

/**
 * Diameter of a solid wire of an American wire gauge, in mm.
 *
 * d = 0.127 * 92^((36 - n) / 39)
 *
 * @source astm-b258 (law, from memory); reproduces a public table of printed values
 * @example wireDiameterMm(18) // 1.0237
 */
export const wireDiameterMm = (gauge: number): number => 0.127 * 92 ** ((36 - gauge) / 39)

/** Cross-section of a solid wire of a gauge [mm2]: pi d^2 / 4. */
export const wireAreaMm2 = (gauge: number): number => (Math.PI * wireDiameterMm(gauge) ** 2) / 4

/**
 * Factor on the resistance of copper at a temperature against 20 degrees C.
 *
 * 1 + 0.00393 (T - 20)
 *
 * @source IACS temperature coefficient (from memory)
 * @example copperTemperatureFactor(60) // 1.1572
 */
export function copperTemperatureFactor(temperatureC: number): number {
  within(temperatureC, '/temperature', -60, 150, 'degrees C')
  return 1 + COPPER_PER_K * (temperatureC - 20)
}

export interface Conductor {
  areaMm2: number
  isStranded?: boolean
  material?: 'copper' | 'copper-clad-aluminium'
}

/**
 * Resistance of one conductor a length, in Ohm/km.
 *
 * R = 1000 * resistivity / area * temperature factor * (1.02 when stranded)
 *
 * @source IACS resistivity 1/58; strands' lay about 2 % (derived from a code's table)
 * @example ohmPerKm({ areaMm2: wireAreaMm2(22) }, 20) // 52.963
 */
export function ohmPerKm(
  { areaMm2, isStranded = false, material = 'copper' }: Conductor,
  temperatureC: number,
): number {
  const resistivity = material === 'copper' ? COPPER_OHM_MM2_PER_M : COPPER_CLAD_OHM_MM2_PER_M
  return ((1000 * resistivity) / areaMm2) * copperTemperatureFactor(temperatureC) * (isStranded ? STRANDED_FACTOR : 1)
}

/** Largest resistance at 20 degrees C of plain copper by nominal area [mm2 -> Ohm/km], IEC 60228 (as reported). */
export const IEC_60228_LIMITS: Record<'solid-or-stranded' | 'flexible', readonly (readonly [number, number])[]> = {
  'solid-or-stranded': [
    [0.5, 36],
    [0.75, 24.5],
    [1, 18.1],
    [2.5, 7.41],
  ],
  flexible: [
    [0.5, 39],
    [0.75, 26],
    [1, 19.5],
    [1.5, 13.3],
    [2.5, 7.98],
  ],
}
