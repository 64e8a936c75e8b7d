import { within } from '../quantities/within.ts'

export interface LoadProfile {
  standbyCurrentA: number
  standbyDurationHours: number
  /** Whole current in alarm, not the increase over standby. */
  alarmCurrentA: number
  /** The alarm follows the standby time; it is no part of it. */
  alarmDurationHours: number
}

/** Refuses a load that is negative or not finite. */
export function checkProfile(load: LoadProfile): void {
  within(load.standbyCurrentA, '/standbyCurrentA', 0, Number.POSITIVE_INFINITY, 'A')
  within(load.standbyDurationHours, '/standbyDurationHours', 0, Number.POSITIVE_INFINITY, 'h')
  within(load.alarmCurrentA, '/alarmCurrentA', 0, Number.POSITIVE_INFINITY, 'A')
  within(load.alarmDurationHours, '/alarmDurationHours', 0, Number.POSITIVE_INFINITY, 'h')
}

/**
 * Charge that standby and the alarm after it take, in Ah.
 *
 * loadCharge = standbyCurrentA * standbyDurationHours + alarmCurrentA * alarmDurationHours
 *
 * @param load - currents [A] and durations [h], each finite and >= 0
 * @returns charge [Ah], unrounded
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant currents at one battery voltage; ignores discharge rate, temperature and age
 * @source nfpa-72, the alarm follows the standby time (as reported by other texts)
 * @example loadChargeAh({ standbyCurrentA: 0.42, standbyDurationHours: 24, alarmCurrentA: 3.8, alarmDurationHours: 5 / 60 }) // 10.397
 */
export function loadChargeAh(load: LoadProfile): number {
  checkProfile(load)
  return load.standbyCurrentA * load.standbyDurationHours + load.alarmCurrentA * load.alarmDurationHours
}

/** De-rating of the alarm term where its current is more than the battery gives at the 20 h rate. */
const ALARM_DERATING = 1.75
const RATED_HOURS = 20

/**
 * Capacity by the form that weighs the alarm current heavier when it exceeds C/20, in Ah.
 *
 * C(D) = ageingFactor * (I1 T1 + D I2 T2), D = 1 if C/20 >= I2, else 1.75
 *
 * @param load - I1, T1, I2, T2 as standby and alarm currents [A] and durations [h]
 * @returns capacity [Ah] and the D it stands for. Where C(1) < 20 h * I2 < C(1.75), the smallest battery that meets the
 *   rule has exactly C = 20 h * I2; taking it keeps C from falling when a load rises (judgement)
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity D = 1.75 stands for a maker's figure that is not known
 * @source bs-5839-1 2025, Annex E (formula as reported by another text)
 * @example deratedCapacityAh({ standbyCurrentA: 0.5, standbyDurationHours: 24, alarmCurrentA: 0.6, alarmDurationHours: 0.5 }, 1.25).capacityAh // 15.375
 */
export function deratedCapacityAh(
  load: LoadProfile,
  ageingFactor: number,
): { capacityAh: number; alarmDerating: number } {
  checkProfile(load)
  const standbyAh = load.standbyCurrentA * load.standbyDurationHours
  const alarmAh = load.alarmCurrentA * load.alarmDurationHours
  const plainAh = ageingFactor * (standbyAh + alarmAh)
  const enoughAh = RATED_HOURS * load.alarmCurrentA
  if (plainAh >= enoughAh || alarmAh === 0) return { capacityAh: plainAh, alarmDerating: 1 }
  const deratedAh = ageingFactor * (standbyAh + ALARM_DERATING * alarmAh)
  if (deratedAh <= enoughAh) return { capacityAh: deratedAh, alarmDerating: ALARM_DERATING }
  return { capacityAh: enoughAh, alarmDerating: (enoughAh / ageingFactor - standbyAh) / alarmAh }
}

/**
 * Capacity by sections, so that a heavy alarm current counts for more than its ampere-hours, in Ah.
 *
 * C_S = sum over periods P up to S of (I_P - I_(P-1)) * K(time from start of P to end of S); K(t) = H * (t / H)^(1 / k)
 *
 * @param periods - current [A] and duration [h] of each period in order, finite and >= 0
 * @param exponent - Peukert exponent k, 1 to 2
 * @returns the largest C_S [Ah] at the H = 20 h rate, without margins
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant currents at about 25 Cel; k between the rates it was taken from
 * @source ieee-485, section method (from memory), with the rate factor of Peukert's law in its rated form
 */
export function sectionCapacityAh(
  periods: readonly { currentA: number; durationHours: number }[],
  exponent: number,
): number {
  within(exponent, '/exponent', 1, 2, '1')
  let largest = 0
  let end = 0
  periods.forEach((period, section) => {
    end += within(period.durationHours, `/periods/${section}/durationHours`, 0, Number.POSITIVE_INFINITY, 'h')
    within(period.currentA, `/periods/${section}/currentA`, 0, Number.POSITIVE_INFINITY, 'A')
    let start = 0
    let capacity = 0
    for (let index = 0; index <= section; index++) {
      const step = periods[index]!.currentA - (periods[index - 1]?.currentA ?? 0)
      const hours = end - start
      capacity += step * RATED_HOURS * (hours / RATED_HOURS) ** (1 / exponent)
      start += periods[index]!.durationHours
    }
    largest = Math.max(largest, capacity)
  })
  return largest
}
