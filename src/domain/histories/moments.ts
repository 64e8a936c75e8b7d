import { momentOf } from './event-time.ts'
import type { HistoryEvent, TimedEvent } from './types.ts'
import { type LocalKind, ZoneClock } from './zone-clock.ts'

export interface Moments {
  events: TimedEvent[]
  /** Positions of events whose time no calendar has. */
  impossible: number[]
  /** Positions of local times that the zone's clock shows twice, or skips. */
  twice: number[]
  never: number[]
  /** How the time of day was found. */
  timeOfDay: 'zone' | 'as-written' | 'utc'
}

/** A moment with the local time that goes with it. */
function placed(
  { time }: HistoryEvent,
  clock: ZoneClock | undefined,
): { atMs: number; localMs: number; kind: LocalKind } {
  const { clockMs, offsetMinutes } = time!
  if (offsetMinutes !== undefined) {
    const atMs = momentOf(clockMs, offsetMinutes)
    return { atMs, localMs: clock ? clock.localMs(atMs) : clockMs, kind: 'plain' }
  }
  return { localMs: clockMs, ...(clock ? clock.fromLocal(clockMs) : { atMs: clockMs, kind: 'plain' as const }) }
}

/**
 * Moments and local times of events, each with the offset that was in force then: one offset for a whole history would
 * move half of it by the hour of summer time.
 *
 * @param zone - name of the IANA time-zone database; without it a time counts as the clock wrote it
 * @throws DomainError UNKNOWN_ID for an unknown zone
 * @validity without a zone, gaps over a change to or from summer time are an hour off where no offset is written
 */
export function momentsOf(events: readonly HistoryEvent[], zone: string | undefined): Moments {
  const clock = zone === undefined ? undefined : new ZoneClock(zone)
  const result: Moments = { events: [], impossible: [], twice: [], never: [], timeOfDay: 'as-written' }
  let written = 0
  let inUtc = 0
  events.forEach((event, index) => {
    if (!event.time) {
      result.impossible.push(index)
      return
    }
    const { kind: fit, ...place } = placed(event, clock)
    if (fit !== 'plain') result[fit].push(index)
    written++
    if (event.time.offsetMinutes === 0) inUtc++
    const { time: _, ...rest } = event
    result.events.push({ ...rest, index, ...place })
  })
  if (clock) result.timeOfDay = 'zone'
  else if (written > 0 && inUtc === written) result.timeOfDay = 'utc'
  return result
}
