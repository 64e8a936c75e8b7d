import type { Interval, Series, TimedEvent } from './types.ts'

interface Open extends Series {
  isOpen: boolean
}

/** A trouble starts an interval, unless one stands already. */
function come(series: Open, event: TimedEvent): void {
  if (series.isOpen && series.keepsRestores) {
    series.repeats++
    return
  }
  series.intervals.push({ start: event })
  series.isOpen = true
}

/** A going ends the interval that stands; without one it is kept as an interval of unknown start. */
function go(series: Open, event: TimedEvent): void {
  if (series.isOpen) series.intervals.at(-1)!.end = event
  else series.intervals.push({ end: event })
  series.isOpen = false
}

/**
 * Pairs the comings and goings of each kind at each device.
 *
 * a trouble opens an interval, the next restore of the same kind and device closes it; a trouble while one stands is a
 * repeat; a restore without a trouble is an interval of unknown start; the last one open still stands
 *
 * @param events - in order of time
 * @returns one series for each kind and device, in order of first appearance; every event is in exactly one of them
 * @validity where a list keeps no restore of a kind at all, every trouble of that kind is a start of unknown duration
 */
export function pair(events: readonly TimedEvent[]): Series[] {
  const restored = new Set(events.flatMap(({ kind, state }) => (state === 'restore' ? [kind] : [])))
  const byPoint = new Map<string, Open>()
  for (const event of events) {
    const { kind, device } = event
    const point = `${kind}\u0000${device ?? ''}`
    const series = byPoint.get(point) ?? {
      kind,
      ...(device !== undefined && { device }),
      events: 0,
      intervals: [],
      repeats: 0,
      keepsRestores: restored.has(kind),
      isOpen: false,
    }
    byPoint.set(point, series)
    series.events++
    if (event.state === 'trouble') come(series, event)
    else go(series, event)
  }
  return [...byPoint.values()].map(({ isOpen: _, ...series }) => series)
}

/** Intervals that began, with their start. */
export const startsOf = ({ intervals }: Pick<Series, 'intervals'>): TimedEvent[] =>
  intervals.flatMap(({ start }) => (start ? [start] : []))

/** Whole durations, shortest first [ms]; those that still stand are only bounds and are left out. */
export const durationsMs = (intervals: readonly Interval[]): number[] =>
  intervals.flatMap(({ start, end }) => (start && end ? [end.atMs - start.atMs] : [])).sort((a, b) => a - b)

/** Middle of sorted numbers; none of none. */
export function medianOf(sorted: readonly number[]): number | undefined {
  const middle = sorted.length >> 1
  if (sorted.length === 0) return undefined
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
}
