import { medianOf } from './pair.ts'
import type { TimedEvent } from './types.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000

/** Gaps inside a burst are shorter than this, or than a tenth of the usual gap. Judgement. */
const BURST_GAP_MS = 10 * MINUTE_MS
const BURST_GAP_SHARE = 0.1
const BURST_LEAST = 3
/** Short and often: half of the durations under ten minutes, and five starts within a day. Judgement. */
const INTERMITTENT_MS = 10 * MINUTE_MS
const INTERMITTENT_STARTS = 5

export interface Burst {
  first: TimedEvent
  last: TimedEvent
  count: number
}
export interface Thinned {
  /** The first start of every burst, and every start outside of one. */
  independent: TimedEvent[]
  bursts: Burst[]
}

/**
 * Takes bursts as one event each: the tests assume independent starts, and forty in one night would prove any hour.
 *
 * a burst = at least 3 starts with gaps below max(10 min, a tenth of the median gap)
 *
 * @param starts - in order of time
 * @validity bounds are judgement; two starts close together stay two
 */
export function thin(starts: readonly TimedEvent[]): Thinned {
  const gaps = starts.slice(1).map((start, index) => start.atMs - starts[index]!.atMs)
  const usual = medianOf([...gaps].sort((a, b) => a - b)) ?? 0
  const limit = Math.max(BURST_GAP_MS, BURST_GAP_SHARE * usual)
  const runs: TimedEvent[][] = []
  starts.forEach((start, index) => {
    if (index > 0 && gaps[index - 1]! < limit) runs.at(-1)!.push(start)
    else runs.push([start])
  })
  const isBurst = (run: readonly TimedEvent[]) => run.length >= BURST_LEAST
  return {
    independent: runs.flatMap((run) => (isBurst(run) ? [run[0]!] : run)),
    bursts: runs.filter(isBurst).map((run) => ({ first: run[0]!, last: run.at(-1)!, count: run.length })),
  }
}

/** Whether a trouble comes and goes by itself, short and often. */
export function isIntermittent(starts: readonly TimedEvent[], durations: readonly number[]): boolean {
  const median = medianOf(durations)
  if (median === undefined || median >= INTERMITTENT_MS) return false
  return starts.some((start, index) => {
    const fifth = starts[index + INTERMITTENT_STARTS - 1]
    return fifth !== undefined && fifth.atMs - start.atMs <= DAY_MS
  })
}
