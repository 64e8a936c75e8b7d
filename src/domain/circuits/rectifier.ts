import { within } from '../quantities/within.ts'

export const RECTIFIERS = ['half-wave', 'centre-tap', 'bridge'] as const
export type Rectifier = (typeof RECTIFIERS)[number]

/** What a transformer must give for a DC load: factor and added volts on the voltage, factors on current and power. */
interface Factors {
  perVolt: number
  addedV: number
  perAmpere: number
  perWatt: number
}
const FACTORS: Record<Rectifier, { capacitor: Factors; none: Factors }> = {
  'half-wave': {
    capacitor: { perVolt: 0.88, addedV: 1, perAmpere: 2.6, perWatt: 2.3 },
    none: { perVolt: 2.2, addedV: 1, perAmpere: 1.6, perWatt: 3.5 },
  },
  'centre-tap': {
    capacitor: { perVolt: 1.7, addedV: 1, perAmpere: 1.2, perWatt: 1.7 },
    none: { perVolt: 2.2, addedV: 1, perAmpere: 0.8, perWatt: 1.4 },
  },
  bridge: {
    capacitor: { perVolt: 0.8, addedV: 2, perAmpere: 1.8, perWatt: 1.4 },
    none: { perVolt: 1.1, addedV: 2, perAmpere: 1.1, perWatt: 1.2 },
  },
}

const factorsOf = (rectifier: Rectifier, hasCapacitor: boolean) =>
  FACTORS[rectifier][hasCapacitor ? 'capacitor' : 'none']

/** RMS current of the secondary for each ampere of DC. */
export const rmsFactor = (rectifier: Rectifier, hasCapacitor: boolean): number =>
  factorsOf(rectifier, hasCapacitor).perAmpere

/**
 * Secondary that a DC load behind a rectifier needs.
 *
 * bridge with capacitor: V = 0.8 (Vdc + 2), I = 1.8 Idc, VA = 1.4 (W + 2 V x Idc); the others in the same form
 *
 * @param outputVoltageV - DC voltage behind the rectifier [V], > 0
 * @param outputCurrentA - DC current [A], >= 0
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity linear regulator or none; the RMS factor depends on the source and runs from 1.6 to 2.0
 * @source design notes of two transformer makers (read); their lists differ on the centre tap, the worked one counts
 * @example secondaryNeeded('bridge', true, 13.8, 1) // { voltageV: 12.64, currentA: 1.8, apparentPowerVA: 22.12 }
 */
export function secondaryNeeded(
  rectifier: Rectifier,
  hasCapacitor: boolean,
  outputVoltageV: number,
  outputCurrentA: number,
): { voltageV: number; currentA: number; apparentPowerVA: number } {
  within(outputVoltageV, '/outputVoltage', 0.1, 100, 'V')
  within(outputCurrentA, '/loadCurrent', 0, 100, 'A')
  const { perVolt, addedV, perAmpere, perWatt } = factorsOf(rectifier, hasCapacitor)
  return {
    voltageV: perVolt * (outputVoltageV + addedV),
    currentA: perAmpere * outputCurrentA,
    apparentPowerVA: perWatt * (outputVoltageV + addedV) * outputCurrentA,
  }
}

/** Forward drop of one silicon diode [V]. Common practice, no source. */
const DIODE_V = 0.7
const DIODES_IN_PATH: Record<Rectifier, number> = { 'half-wave': 1, 'centre-tap': 1, bridge: 2 }

/**
 * Peak voltage on the capacitor behind a rectifier, in V.
 *
 * V = sqrt(2) Vac - n x 0.7 V, n diodes in the path
 *
 * @source textbook; diode drop common practice
 * @example rawDcV('bridge', 16.5) // 21.93
 */
export const rawDcV = (rectifier: Rectifier, acV: number): number =>
  Math.max(0, Math.SQRT2 * acV - DIODES_IN_PATH[rectifier] * DIODE_V)

/**
 * Ripple on the capacitor behind a full-wave rectifier, peak to peak, in V.
 *
 * V = I / (2 f C); half-wave: I / (f C)
 *
 * @source textbook, discharge at constant current between two peaks
 * @example rippleV('bridge', 1, 50, 4700) // 2.128
 */
export function rippleV(rectifier: Rectifier, currentA: number, mainsHz: number, capacitanceUF: number): number {
  within(mainsHz, '/mainsFrequency', 40, 70, 'Hz')
  within(capacitanceUF, '/capacitanceMicrofarad', 1, 1e6, 'uF')
  const pulses = rectifier === 'half-wave' ? 1 : 2
  return currentA / (pulses * mainsHz * capacitanceUF * 1e-6)
}
