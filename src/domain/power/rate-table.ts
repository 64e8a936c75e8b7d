import { interpolate } from '../quantities/interpolate.ts'

/** Time of discharge [h] and share of the 20 h capacity it gives; one general valve-regulated battery's data sheet (read). */
const ROWS = [
  [1, 0.6],
  [5, 0.85],
  [10, 0.93],
  [20, 1],
] as const

/**
 * Share of the 20 h capacity that a discharge of a given time draws.
 *
 * linear in ln(duration) between the rows
 *
 * @returns the share; undefined beyond 1 h or 20 h, where the table says nothing
 * @validity small valve-regulated lead-acid, 20 to 25 degrees C, 1 h to 20 h
 * @source rate-table: data sheet of one general 40 Ah battery (read); the same shares recur across the type (practice)
 * @example capacityShareAtDuration(5) // 0.85
 */
export function capacityShareAtDuration(durationHours: number): number | undefined {
  return interpolate(
    ROWS.map(([hours, share]) => [Math.log(hours), share] as const),
    Math.log(durationHours),
  )
}

/** Time of discharge [h] and voltage of six cells at its end; the same data sheet (read). */
const END_VOLTAGES = [
  [1, 9.6],
  [5, 10.2],
  [10, 10.5],
] as const

/**
 * Voltage of a 12 V battery at the end of a discharge of a given time, in V.
 *
 * linear in ln(duration) between the rows; 10.5 V for every slower discharge
 *
 * @returns the voltage; undefined for a discharge faster than 1 h
 * @validity small valve-regulated lead-acid at 20 to 25 degrees C, under its load
 * @source rate-table: the same data sheet (read); many print 10.8 V at the 20 h rate
 * @example endVoltageAtDuration(5) // 10.2
 */
export function endVoltageAtDuration(durationHours: number): number | undefined {
  return interpolate(
    END_VOLTAGES.map(([hours, volts]) => [Math.log(hours), volts] as const),
    Math.log(Math.min(durationHours, 10)),
  )
}

const BISECTIONS = 100

/**
 * Time that a constant current can be drawn, in h, by the rate table.
 *
 * the time t with I * t = C20 * share(t)
 *
 * @param capacityAh - capacity at the 20 h rate [Ah], > 0
 * @param currentA - current [A], > 0
 * @returns the time; undefined when it lies beyond the table
 * @source rate-table
 * @example runtimeHoursRateTable(40, 6.8) // 5
 */
export function runtimeHoursRateTable(capacityAh: number, currentA: number): number | undefined {
  const [shortest, longest] = [ROWS[0][0], ROWS[3][0]]
  const left = (hours: number) => capacityAh * capacityShareAtDuration(hours)! - currentA * hours
  if (left(shortest) < 0 || left(longest) > 1e-9 * capacityAh) return undefined
  let [low, high] = [shortest as number, longest as number]
  for (let round = 0; round < BISECTIONS; round++) {
    const middle = (low + high) / 2
    if (left(middle) >= 0) low = middle
    else high = middle
  }
  return low
}
