import { DomainError } from '../errors.ts'
import { within } from '../quantities/within.ts'

/** Exponent of small valve-regulated batteries between the 10 h and the 5 h rate; own-derivation from a data sheet's table. */
export const DEFAULT_PEUKERT_EXPONENT = 1.15

/** Exponents of sealed lead-acid batteries, from absorbed glass mat (1.05) to gel (1.25); as a reference article reports. */
export const USUAL_PEUKERT_EXPONENTS = { low: 1.05, high: 1.25 } as const

/**
 * Time that a constant current can be drawn, in h, by Peukert's relation referred to the rated capacity.
 *
 * t = H * (C / (H * I))^k, and never more charge than the rated one: t <= C / I
 *
 * @param ratedCapacityAh - capacity C at the rated time [Ah], finite and > 0
 * @param ratedDurationHours - rated time H [h], finite and > 0
 * @param currentA - current I [A], finite and > 0
 * @param exponent - k, 1 (ideal) to 2
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant current and temperature, about 25 degrees C, between the rates that k was fitted on; not for pulses
 * @source peukert-1897 (from memory); rated form as a public analysis gives it (read)
 * @example runtimeHoursPeukert1897(100, 20, 10, 1.3) // 8.1225
 */
export function runtimeHoursPeukert1897(
  ratedCapacityAh: number,
  ratedDurationHours: number,
  currentA: number,
  exponent: number,
): number {
  within(ratedCapacityAh, '/ratedCapacity', 1e-6, 1e6, 'Ah')
  within(ratedDurationHours, '/ratedDuration', 1e-3, 1e4, 'h')
  within(currentA, '/current', 1e-9, 1e6, 'A')
  within(exponent, '/exponent', 1, 2, '1')
  const hours = ratedDurationHours * (ratedCapacityAh / (ratedDurationHours * currentA)) ** exponent
  return Math.min(hours, ratedCapacityAh / currentA)
}

/**
 * Rated capacity that carries a constant current for a time, in Ah: the inverse of runtimeHoursPeukert1897.
 *
 * C = I * H * (t / H)^(1 / k), and never less than the charge itself: C >= I * t
 *
 * @source peukert-1897, rated form solved for C
 * @example ratedCapacityAhPeukert1897(0.5, 12, 20, 1.15) // 6.4134
 */
export function ratedCapacityAhPeukert1897(
  currentA: number,
  durationHours: number,
  ratedDurationHours: number,
  exponent: number,
): number {
  within(exponent, '/exponent', 1, 2, '1')
  const capacityAh = currentA * ratedDurationHours * (durationHours / ratedDurationHours) ** (1 / exponent)
  return Math.max(capacityAh, currentA * durationHours)
}

/**
 * Peukert exponent from two discharges to the same end voltage.
 *
 * k = (ln t2 - ln t1) / (ln I1 - ln I2)
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the currents are equal or the smaller current did not last longer
 * @source a public meter handbook (read)
 * @example peukertExponentFrom({ currentA: 2, durationHours: 20 }, { currentA: 3.72, durationHours: 10 }) // 1.1169
 */
export function peukertExponentFrom(
  first: { currentA: number; durationHours: number },
  second: { currentA: number; durationHours: number },
): number {
  const exponent =
    (Math.log(second.durationHours) - Math.log(first.durationHours)) /
    (Math.log(first.currentA) - Math.log(second.currentA))
  if (Number.isFinite(exponent) && exponent >= 1) return exponent
  throw new DomainError(
    'QUANTITY_OUT_OF_RANGE',
    'the two tests must differ in current, and the smaller current must last longer',
    {
      path: '/dischargeTests',
      limit: 'exponent at least 1',
      value: String(exponent),
    },
  )
}
