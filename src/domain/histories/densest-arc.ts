export interface Arc {
  /** First and last time on the dial [h]; `to` is the smaller one where the arc runs over midnight. */
  fromHours: number
  toHours: number
  widthHours: number
  count: number
}

/**
 * Shortest arc of the dial that holds at least a share of the points: what a person sees, no test.
 *
 * @param hours - times [h] from 0 to below the period, at least one
 * @param share - above 0, at most 1
 * @example densestArc([23.9, 0.1, 0.2, 12], 24, 0.75) // from 23.9 to 0.2, 3 of 4
 */
export function densestArc(hours: readonly number[], periodHours: number, share: number): Arc {
  const sorted = [...hours].sort((a, b) => a - b)
  const n = sorted.length
  const count = Math.max(1, Math.ceil(share * n - 1e-9))
  let best = { start: 0, width: Number.POSITIVE_INFINITY }
  for (let start = 0; start < n; start++) {
    const last = start + count - 1
    const width = sorted[last % n]! + (last >= n ? periodHours : 0) - sorted[start]!
    if (width < best.width) best = { start, width }
  }
  const fromHours = sorted[best.start]!
  const inside = sorted.filter((hour) => (hour - fromHours + periodHours) % periodHours <= best.width).length
  return {
    fromHours,
    toHours: sorted[(best.start + count - 1) % n]!,
    widthHours: best.width,
    count: Math.max(count, inside),
  }
}
