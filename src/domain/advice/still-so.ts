import type { Finding } from '../findings/finding.ts'

/** Whether a fact was so once, or has run out at the moment of the call. */
export function isPast(
  { tense, untilMs = Number.POSITIVE_INFINITY }: Pick<Finding, 'tense' | 'untilMs'>,
  nowMs = Number.NEGATIVE_INFINITY,
): boolean {
  return tense === 'earlier' || untilMs <= nowMs
}

/** Of what was seen of one thing: the newest, and whatever has no time and so may be as new. */
export function newestOf<T extends { observedMs?: number }>(seen: readonly T[]): T[] {
  const newest = Math.max(...seen.map(({ observedMs }) => observedMs ?? Number.NEGATIVE_INFINITY))
  return seen.filter(({ observedMs }) => observedMs === undefined || observedMs === newest)
}
