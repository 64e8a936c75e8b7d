import { atLeast, positive } from './guard.ts'

export interface RatePeriod {
  currentA: number
  durationHours: number
}

export interface RateModel {
  /** Exponent of the rated Peukert form; 1 is an ideal battery. */
  peukertExponent: number
  /** Hour rate at which the capacity is stated; 20 h for small standby types (IEC 61056-1, contents list read). */
  ratedDurationHours: number
}

/**
 * Rate factor K [h]: rated capacity [Ah] per ampere that lasts a time.
 *
 * K = ratedDurationHours * (durationHours / ratedDurationHours)^(1 / peukertExponent)
 *
 * @param durationHours - time to be carried [h], finite and >= 0
 * @param model - exponent >= 1 and hour rate [h] > 0
 * @returns K [h]
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant current near 25 C, between the rates the exponent was fitted on; above the rated duration it
 *   promises more charge than the rating
 * @source peukert-1897 rated form
 * @example rateFactorHours(20, { peukertExponent: 1.15, ratedDurationHours: 20 }) // 20
 */
export function rateFactorHours(durationHours: number, { peukertExponent, ratedDurationHours }: RateModel): number {
  atLeast(durationHours, 0, '/durationHours', 'h')
  atLeast(peukertExponent, 1, '/peukertExponent', '')
  positive(ratedDurationHours, '/ratedDurationHours', 'h')
  return ratedDurationHours * (durationHours / ratedDurationHours) ** (1 / peukertExponent)
}

/**
 * Uncorrected capacity [Ah] of each section of a load profile; the largest is the one required.
 *
 * section S = sum over P = 1..S of (I_P - I_(P-1)) * K(time from the start of P to the end of S)
 *
 * @param periods - in order, current [A] and duration [h], each finite and >= 0
 * @param model - rate exponent and hour rate [h]
 * @returns capacity [Ah] of each section, before temperature, ageing and design factors
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity needed when a later current exceeds about a fifth of the capacity per hour
 * @source ieee-485 section method, from memory
 * @example sectionCapacitiesAh([{ currentA: 2, durationHours: 3 }], { peukertExponent: 1, ratedDurationHours: 20 })[0] // 6
 */
export function sectionCapacitiesAh(periods: readonly RatePeriod[], model: RateModel): number[] {
  periods.forEach(({ currentA, durationHours }, index) => {
    atLeast(currentA, 0, `/periods/${index}/currentA`, 'A')
    atLeast(durationHours, 0, `/periods/${index}/durationHours`, 'h')
  })
  return periods.map((_, last) => {
    let capacityAh = 0
    let remainingHours = 0
    for (let index = last; index >= 0; index--) {
      remainingHours += periods[index]!.durationHours
      const stepA = periods[index]!.currentA - (periods[index - 1]?.currentA ?? 0)
      capacityAh += stepA * rateFactorHours(remainingHours, model)
    }
    return capacityAh
  })
}
