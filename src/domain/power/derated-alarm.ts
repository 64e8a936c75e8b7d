import { atLeast } from './guard.ts'
import { checkedCycle, type DutyCycle } from './load.ts'

/** Margin and alarm de-rating of BS 5839-1, as a secondary text quotes its Annex E (2025). */
export const BS_5839_AGEING_FACTOR = 1.25
export const BS_5839_ALARM_DERATING = 1.75
/** The de-rating falls away when the battery's 20 h current covers the alarm current. */
export const BS_5839_RATED_HOURS = 20

export interface DeratedCapacity {
  requiredCapacityAh: number
  /** 1 or the de-rating; undefined where the battery is set by the 20 h current itself. */
  alarmDerating: number | undefined
  plainCapacityAh: number
  deratedCapacityAh: number
}

/**
 * Required capacity [Ah] with the alarm charge de-rated when the alarm current is high for the battery.
 *
 * C(D) = ageingFactor * (standbyCurrentA * standbyHours + D * alarmCurrentA * alarmHours)
 * D = 1 when C(1) / 20 >= alarmCurrentA, else the de-rating (1.75, or the maker's figure).
 * Between the two (C(1) < 20 * alarmCurrentA <= C(1.75)) the smallest battery that meets the rule has exactly
 * C = 20 * alarmCurrentA; taking it keeps the capacity from falling when the standby load rises (judgement).
 *
 * @param cycle - currents [A] and durations [h], each finite and >= 0
 * @param ageingFactor - >= 1
 * @param derating - >= 1
 * @returns capacity [Ah] before any temperature factor, and both candidates
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant currents; capacity at the 20 h rate; about 25 C
 * @source bs-5839-1 2025 Annex E, as reported
 * @example requiredCapacityDerated({ standbyCurrentA: 0.5, standbyHours: 24, alarmCurrentA: 0.6, alarmHours: 0.5 }).requiredCapacityAh // 15.375
 */
export function requiredCapacityDerated(
  cycle: DutyCycle,
  ageingFactor = BS_5839_AGEING_FACTOR,
  derating = BS_5839_ALARM_DERATING,
): DeratedCapacity {
  const { standbyCurrentA, standbyHours, alarmCurrentA, alarmHours } = checkedCycle(cycle)
  atLeast(ageingFactor, 1, '/ageingFactor', '')
  atLeast(derating, 1, '/alarmDerating', '')
  const capacityAh = (d: number) => ageingFactor * (standbyCurrentA * standbyHours + d * alarmCurrentA * alarmHours)
  const plainCapacityAh = capacityAh(1)
  const deratedCapacityAh = capacityAh(derating)
  const thresholdAh = BS_5839_RATED_HOURS * alarmCurrentA
  const candidates = { plainCapacityAh, deratedCapacityAh }
  if (plainCapacityAh >= thresholdAh || alarmHours === 0)
    return { requiredCapacityAh: plainCapacityAh, alarmDerating: 1, ...candidates }
  if (deratedCapacityAh > thresholdAh)
    return { requiredCapacityAh: thresholdAh, alarmDerating: undefined, ...candidates }
  return { requiredCapacityAh: deratedCapacityAh, alarmDerating: derating, ...candidates }
}
