import { within } from '../quantities/within.ts'
import { factorsOf } from './sizing-factors.ts'
import { requiredAh, sumLoads } from './sizing-requirement.ts'
import type { SizingInput } from './sizing-types.ts'

/** Largest value of one quantity for which the requirement stays within the size, by bisection on a rising function. */
export function largestWithin(sizeAh: number, start: number, requirement: (value: number) => number): number {
  let low = start
  let high = Math.max(start, 1e-3)
  while (requirement(high) <= sizeAh && high < 1e6) high *= 2
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2
    if (requirement(middle) <= sizeAh) low = middle
    else high = middle
  }
  return low
}

export type HoursGiven =
  | { standbyHours: number }
  | { standbyHours: undefined; reason: 'ALARM_ALONE_TOO_MUCH' | 'NO_STANDBY_LOAD' }

/**
 * Standby time that a battery gives while it still carries the alarm after it, in h, under the factors of the sizing.
 *
 * the largest standby time whose required capacity is not above the battery, by bisection
 *
 * @param input - a sizing; its standby time is not used
 * @param capacityAh - rated capacity at the 20 h rate [Ah], > 0
 * @returns the time [h], or none with the reason
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE
 * @validity with margins it is what an aged battery gives, not what a new one would
 * @source own-derivation, inverse of sizeBattery
 */
export function hoursGiven(input: SizingInput, capacityAh: number): HoursGiven {
  within(capacityAh, '/capacityAh', 1e-6, 1e6, 'Ah')
  const alarmHours = within(input.alarmHours ?? input.duty?.alarmHours ?? 0, '/alarmDuration', 0, 1000, 'h')
  const factors = factorsOf(input)
  const load = sumLoads(input.loads, 0, alarmHours)
  const at = (standbyDurationHours: number) => requiredAh(input, { ...load, standbyDurationHours }, factors)
  const carriedAh = capacityAh * (1 + 1e-12)
  if (at(0) > carriedAh) return { standbyHours: undefined, reason: 'ALARM_ALONE_TOO_MUCH' }
  if (load.standbyCurrentA === 0) return { standbyHours: undefined, reason: 'NO_STANDBY_LOAD' }
  return { standbyHours: largestWithin(carriedAh, 0, at) }
}
