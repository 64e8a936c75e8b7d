import type { Span, TimedEvent } from './types.ts'

const SECOND_MS = 1000
const YEAR_MS = 365.25 * 86_400_000

/** Clocks that lost their time start again in their first year, mostly 1970, 1980, 1990 or 2000: no list kept today begins so early. Judgement. */
export const PLAUSIBLE_FROM_MS = Date.UTC(2005, 0, 1)
/** The same report of the same point within this time is a repeat. Judgement. */
export const REPEAT_WITHIN_S = 60
/** A stretch this far from the rest, and shorter than it, was written by a clock that stood wrong. Judgement. */
export const FAR_AWAY_YEARS = 3

export interface Cleaned {
  /** In order of time. */
  events: TimedEvent[]
  /** Positions that were left out, by reason. */
  beforePlausibleYear: number[]
  outsideWatch: number[]
  farAway: number[]
  repeats: number[]
}

const indexesOf = (events: readonly TimedEvent[]) => events.map(({ index }) => index)

/** Stretches between gaps of years. */
function stretchesOf(events: readonly TimedEvent[]): TimedEvent[][] {
  const stretches: TimedEvent[][] = []
  let last = Number.NEGATIVE_INFINITY
  for (const event of events) {
    if (event.atMs - last > FAR_AWAY_YEARS * YEAR_MS) stretches.push([])
    stretches.at(-1)!.push(event)
    last = event.atMs
  }
  return stretches
}

/** The stretch with more than half of the events; all events where none has. */
function mainStretch(events: readonly TimedEvent[]): { main: readonly TimedEvent[]; others: TimedEvent[] } {
  const stretches = stretchesOf(events)
  const main = stretches.find((stretch) => stretch.length > events.length / 2)
  return main ? { main, others: stretches.filter((stretch) => stretch !== main).flat() } : { main: events, others: [] }
}

const pointOf = ({ kind, device = '' }: TimedEvent) => `${kind}\u0000${device}`

/** Leaves out an event that says again what the last one of its point said. */
function withoutRepeats(events: readonly TimedEvent[]): { kept: TimedEvent[]; repeats: TimedEvent[] } {
  const lastOf = new Map<string, TimedEvent>()
  const kept: TimedEvent[] = []
  const repeats: TimedEvent[] = []
  for (const event of events) {
    const last = lastOf.get(pointOf(event))
    const isRepeat = last?.state === event.state && event.atMs - last.atMs <= REPEAT_WITHIN_S * SECOND_MS
    if (isRepeat) repeats.push(event)
    else {
      kept.push(event)
      lastOf.set(pointOf(event), event)
    }
  }
  return { kept, repeats }
}

/**
 * Events in order of time, without those whose time cannot be right and without repeats. Nothing is lost: every position
 * is either kept or named with its reason.
 *
 * @param events - in any order
 * @param watch - start and end of the time under watch, when known [ms]; what lies outside is not looked at
 * @validity bounds of year, repeat and distance are judgement
 */
export function clean(events: readonly TimedEvent[], { fromMs, toMs }: Partial<Span> = {}): Cleaned {
  const early = events.filter(({ atMs }) => atMs < PLAUSIBLE_FROM_MS)
  const plausible = events.filter(({ atMs }) => atMs >= PLAUSIBLE_FROM_MS)
  const isWatched = ({ atMs }: TimedEvent) => atMs >= (fromMs ?? atMs) && atMs <= (toMs ?? atMs)
  const watched = plausible.filter(isWatched).sort((a, b) => a.atMs - b.atMs || a.index - b.index)
  const { main, others } = mainStretch(watched)
  const { kept, repeats } = withoutRepeats(main)
  return {
    events: kept,
    beforePlausibleYear: indexesOf(early),
    outsideWatch: indexesOf(plausible.filter((event) => !isWatched(event))),
    farAway: indexesOf(others),
    repeats: indexesOf(repeats),
  }
}
