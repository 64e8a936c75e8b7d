import { within } from '../quantities/within.ts'
import { ratedCapacityAhPeukert1897 } from './peukert.ts'

export interface DischargeEvent {
  loadCurrentA: number
  loadCurrentRelativeUncertainty: number
  elapsedHours: number
  elapsedUncertaintyHours: number
  /** Share of the charge gone when the low-battery signal comes. */
  usedFraction: number
  usedFractionUncertainty: number
  temperatureFactor: number
  exponent: number
  ratedCapacityAh: number
  ratedDurationHours: number
}
export interface HealthEstimate {
  fraction: number
  uncertainty: number
}

/**
 * Share of its rated capacity that a battery has, from the time between mains loss and low-battery signal.
 *
 * C = I * H * (t / H)^(1 / k) / (used * temperature factor);  health = C / rated
 * (u/health)^2 = (u_I / I)^2 + (u_t / t)^2 + (u_f / f)^2
 *
 * @returns fraction of the rated capacity and its standard uncertainty
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity full at the start, load known and constant, one battery; the used share is the largest uncertainty (judgement)
 * @source own-derivation from charge balance and peukert-1897; uncertainties by JCGM 100:2008 5.1.2 (from memory)
 * @example dischargeHealth({ ...soh01 }).fraction // 0.698
 */
export function dischargeHealth(event: DischargeEvent): HealthEstimate {
  const { loadCurrentA, elapsedHours, ratedDurationHours, exponent, usedFraction } = event
  within(usedFraction, '/usedFraction', 0.1, 1, '1')
  within(elapsedHours, '/elapsed', 1e-3, 1e4, 'h')
  const capacityAh =
    ratedCapacityAhPeukert1897(loadCurrentA, elapsedHours, ratedDurationHours, exponent) /
    (usedFraction * event.temperatureFactor)
  const relative = Math.hypot(
    event.loadCurrentRelativeUncertainty,
    event.elapsedUncertaintyHours / elapsedHours,
    event.usedFractionUncertainty / usedFraction,
  )
  const fraction = capacityAh / event.ratedCapacityAh
  return { fraction, uncertainty: fraction * relative }
}

/**
 * Estimates of one quantity together: weights are the inverse squares of the uncertainties.
 *
 * h = sum(h_i / u_i^2) / sum(1 / u_i^2);  u = 1 / sqrt(sum(1 / u_i^2))
 *
 * @source weighted mean of independent normal estimates, textbook (from memory)
 */
export function combineEstimates(estimates: readonly HealthEstimate[]): HealthEstimate {
  const weight = estimates.reduce((sum, { uncertainty }) => sum + uncertainty ** -2, 0)
  const fraction =
    estimates.reduce((sum, { fraction: value, uncertainty }) => sum + value * uncertainty ** -2, 0) / weight
  return { fraction, uncertainty: weight ** -0.5 }
}
