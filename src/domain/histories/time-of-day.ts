import { type CircularSummary, circularSummary, DAY_HOURS, WEEK_HOURS } from './circular.ts'
import { circularRange, hodgesAjne, kuiper, rayleigh, vTest } from './circular-tests.ts'
import { type Arc, densestArc } from './densest-arc.ts'
import type { TestResult, TimedEvent } from './types.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
const WEEK_MS = 7 * DAY_MS
/** 1970-01-01 was a Thursday: three days after the Monday of its week. */
const MONDAY_SHIFT_MS = 3 * DAY_MS

/** Fewer starts tell nothing; the approximations are too rough. Judgement. */
export const LEAST_STARTS = 5
/** One busy day proves no hour. Judgement. */
export const LEAST_DAYS = 3
/** Below this the exact range test stands beside the approximate one. Judgement. */
const RANGE_BELOW = 10
const KUIPER_FROM = 8
const WEEK_FROM = 15
const LEAST_WEEKS = 3
/** Share of the starts that the shown arc holds. Judgement. */
const ARC_SHARE = 0.75
/** Night by the clock. Judgement. */
const NIGHT = { from: 22, to: 6 }

export interface TimeOfDay {
  n: number
  /** Days on which something began. */
  days: number
  /** Why nothing was tested. */
  reason?: 'too-few-starts' | 'too-few-days'
  summary: CircularSummary
  /** Shortest arc with three quarters of the starts. */
  arc: Arc
  /** Shortest arc with all of them. */
  wholeArc: Arc
  /** Share of the starts between 22:00 and 06:00. */
  nightShare: number
  /** Every time stands on the full hour: read by a poll, or rounded, so that the tests are too eager. */
  isRounded: boolean
}
export interface Weekday {
  weeks: number
  summary: CircularSummary
}

/** Time of day that the clock on the wall showed [h]. */
export const hourOfDay = ({ localMs }: Pick<TimedEvent, 'localMs'>) => (localMs % DAY_MS) / HOUR_MS
/** Time since Monday 00:00 [h]. */
export const hourOfWeek = ({ localMs }: Pick<TimedEvent, 'localMs'>) =>
  ((localMs + MONDAY_SHIFT_MS) % WEEK_MS) / HOUR_MS

const distinct = (starts: readonly TimedEvent[], lengthMs: number, shiftMs = 0) =>
  new Set(starts.map(({ localMs }) => Math.floor((localMs + shiftMs) / lengthMs))).size

const isNight = (hour: number) => hour >= NIGHT.from || hour < NIGHT.to

/**
 * At which time of day something begins.
 *
 * @param starts - independent starts, bursts taken as one, at least one
 * @validity times of day as the wall clock shows them; a list kept by a poll shows the poll's hours
 */
export function timeOfDay(starts: readonly TimedEvent[]): TimeOfDay {
  const hours = starts.map(hourOfDay)
  const days = distinct(starts, DAY_MS)
  const reason = starts.length < LEAST_STARTS ? 'too-few-starts' : days < LEAST_DAYS ? 'too-few-days' : undefined
  return {
    n: starts.length,
    days,
    ...(reason && { reason }),
    summary: circularSummary(hours, DAY_HOURS),
    arc: densestArc(hours, DAY_HOURS, ARC_SHARE),
    wholeArc: densestArc(hours, DAY_HOURS, 1),
    nightShare: hours.filter(isNight).length / hours.length,
    isRounded: starts.every(({ localMs }) => localMs % HOUR_MS === 0),
  }
}

/** Any shape of pattern: by the emptiest half of the dial, or by the whole course where that formula does not hold. */
function anyShape(hours: readonly number[]): TestResult[] {
  const n = hours.length
  const { m, p } = hodgesAjne(hours, DAY_HOURS)
  if (p !== undefined) return [{ test: 'hodges-ajne', n, statistic: m, p }]
  if (n < KUIPER_FROM) return []
  const { vStar, p: kuiperP } = kuiper(hours, DAY_HOURS)
  return [{ test: 'kuiper', n, statistic: vStar, p: kuiperP }]
}

function hourTests(hours: readonly number[], expectedHour: number | undefined): TestResult[] {
  const n = hours.length
  const onePeak = rayleigh(hours, DAY_HOURS)
  const twoPeaks = rayleigh(hours, DAY_HOURS / 2)
  const range = n < RANGE_BELOW ? circularRange(hours, DAY_HOURS) : undefined
  const expected = expectedHour === undefined ? undefined : vTest(hours, expectedHour, DAY_HOURS)
  return [
    { test: 'rayleigh', n, statistic: onePeak.z, p: onePeak.p },
    ...(range ? [{ test: 'range' as const, n, statistic: range.rangeHours, p: range.p }] : []),
    ...anyShape(hours),
    { test: 'rayleigh-half-day', n, statistic: twoPeaks.z, p: twoPeaks.p },
    ...(expected ? [{ test: 'expected-hour' as const, n, statistic: expected.u, p: expected.p }] : []),
  ]
}

/** Tests of the time of day that the starts allow; none when they are too few or on too few days. */
export function timeOfDayTests(starts: readonly TimedEvent[], expectedHour?: number): TestResult[] {
  if (starts.length < LEAST_STARTS || distinct(starts, DAY_MS) < LEAST_DAYS) return []
  return hourTests(starts.map(hourOfDay), expectedHour)
}

/** On which day of the week something begins; nothing for fewer than 15 starts or 3 weeks. */
export function weekday(starts: readonly TimedEvent[]): { weekday: Weekday; test: TestResult } | undefined {
  const weeks = distinct(starts, WEEK_MS, MONDAY_SHIFT_MS)
  if (starts.length < WEEK_FROM || weeks < LEAST_WEEKS) return undefined
  const hours = starts.map(hourOfWeek)
  const { z, p } = rayleigh(hours, WEEK_HOURS)
  return {
    weekday: { weeks, summary: circularSummary(hours, WEEK_HOURS) },
    test: { test: 'rayleigh-week', n: starts.length, statistic: z, p },
  }
}
