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
