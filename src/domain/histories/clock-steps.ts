import type { TimedEvent } from './types.ts'

/** Steps back up to an hour may be the end of summer time or reports that overtook each other. Judgement. */
const STEP_MS = 3_600_000
/** A list with a larger share of steps back is in no order that tells of its clock. Judgement. */
const MOST_DISORDER = 0.1
const MOST_SHOWN = 20

export interface ClockSteps {
  /** How the list was written; "none" when no order of time can be seen. */
  order: 'oldest-first' | 'newest-first' | 'none'
  count: number
  /** The first of them: the two events between which the time goes back, by position in the list as received. */
  steps: { before: TimedEvent; after: TimedEvent; backMs: number }[]
}

/**
 * Places at which the times of a list go back although the list goes on: the clock was set, or late reports came in.
 *
 * @param events - in the order received
 * @returns the steps of more than an hour; none for a list in no order
 * @validity says that the clock moved, not which side of the step is right
 */
export function clockSteps(events: readonly TimedEvent[]): ClockSteps {
  let [rising, falling] = [0, 0]
  for (let at = 1; at < events.length; at++) {
    if (events[at]!.atMs > events[at - 1]!.atMs) rising++
    else if (events[at]!.atMs < events[at - 1]!.atMs) falling++
  }
  const against = Math.min(rising, falling)
  if (against > MOST_DISORDER * (rising + falling) && rising + falling > 1)
    return { order: 'none', count: 0, steps: [] }
  const order = falling > rising ? 'newest-first' : 'oldest-first'
  const written = order === 'newest-first' ? events.toReversed() : events
  const steps: ClockSteps['steps'] = []
  let count = 0
  for (let at = 1; at < written.length; at++) {
    const [before, after] = [written[at - 1]!, written[at]!]
    const backMs = before.atMs - after.atMs
    if (backMs <= STEP_MS) continue
    count++
    if (steps.length < MOST_SHOWN) steps.push({ before, after, backMs })
  }
  return { order, count, steps }
}
