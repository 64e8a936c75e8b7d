/** A time to an end, or a bound when the watch stopped before it. */
export interface Lasting {
  hours: number
  /** The end was seen; else it lasted at least so long. */
  isEnded: boolean
}

/**
 * Time by which half have ended, with those that were only watched for a while counted as long as they were watched
 * (Kaplan-Meier).
 *
 * S(t) = product over ends up to t of (1 - ended / still watched); the median is the first t with S(t) <= 1/2
 *
 * @returns nothing when more than half outlast every watch
 * @validity watches that stop for reasons of their own, as when the mains come back
 * @source Kaplan and Meier (1958), from memory
 * @example medianLasting([{ hours: 6, isEnded: true }, { hours: 8, isEnded: false }, { hours: 9, isEnded: true }]) // 9
 */
export function medianLasting(lastings: readonly Lasting[]): number | undefined {
  const sorted = [...lastings].sort((a, b) => a.hours - b.hours || Number(b.isEnded) - Number(a.isEnded))
  let surviving = 1
  for (const [index, { hours, isEnded }] of sorted.entries()) {
    if (!isEnded) continue
    surviving *= 1 - 1 / (sorted.length - index)
    if (surviving <= 0.5 + 1e-12) return hours
  }
  return undefined
}
