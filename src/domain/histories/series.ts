import { type Burst, isIntermittent, thin } from './bursts.ts'
import { durationsMs, medianOf, startsOf } from './pair.ts'
import { compareRates, type Rate, type RateChange, rateOf } from './rates.ts'
import { LEAST_STARTS, type TimeOfDay, timeOfDay, timeOfDayTests, type Weekday, weekday } from './time-of-day.ts'
import { type Trend, trendOf } from './trend.ts'
import type { JudgedTest, Series, Span, TestResult, TimedEvent } from './types.ts'

const DAY_MS = 86_400_000
/** A month against the three before it, fixed before looking: a split chosen by eye makes its p worthless. Judgement. */
const RECENT_DAYS = 30
const BEFORE_DAYS = { least: 30, most: 90 }

/** The time under watch; an edge that the list's own events set is no fixed one. */
export interface Watch extends Span {
  isFromGiven: boolean
  isToGiven: boolean
}

export interface SeriesAnalysis extends Series {
  starts: TimedEvent[]
  durations: { whole: number; medianMs?: number; shortestMs?: number; longestMs?: number }
  /** Began and has not gone; only where the list keeps goings. */
  isStanding: boolean
  bursts: Burst[]
  isIntermittent: boolean
  independent: TimedEvent[]
  /** Of independent starts. */
  rate?: Rate
  timeOfDay?: TimeOfDay
  weekday?: Weekday
  trend?: Trend
  change?: RateChange
  tests: TestResult[]
}
export type JudgedSeries = Omit<SeriesAnalysis, 'tests'> & { tests: JudgedTest[] }

/**
 * Ages of the starts since the watch began [d], without those whose own coming or going sets an edge of the watch: given
 * the edge, they are no chance.
 */
function freeAges(series: Series, starts: readonly TimedEvent[], watch: Watch): number[] {
  const { fromMs, toMs, isFromGiven, isToGiven } = watch
  const last = series.intervals.at(-1)
  const setsEnd = !isToGiven && (last?.end ?? last?.start)?.atMs === toMs ? last?.start : undefined
  return starts
    .filter((start) => (isFromGiven || start.atMs > fromMs) && start !== setsEnd)
    .map(({ atMs }) => Math.max(atMs - fromMs, 1) / DAY_MS)
}

function changeOf(ages: readonly number[], lengthDays: number): RateChange | undefined {
  const beforeDays = Math.min(BEFORE_DAYS.most, lengthDays - RECENT_DAYS)
  if (beforeDays < BEFORE_DAYS.least) return undefined
  const split = lengthDays - RECENT_DAYS
  const recent = ages.filter((age) => age > split).length
  const before = ages.filter((age) => age <= split && age > split - beforeDays).length
  if (recent + before < LEAST_STARTS) return undefined
  return compareRates({ count: recent, days: RECENT_DAYS }, { count: before, days: beforeDays })
}

function overTime(series: Series, independent: readonly TimedEvent[], watch: Watch) {
  const lengthDays = (watch.toMs - watch.fromMs) / DAY_MS
  if (lengthDays <= 0) return { tests: [] }
  const ages = freeAges(series, independent, watch)
  const trend = ages.length >= LEAST_STARTS ? trendOf(ages, lengthDays) : undefined
  const change = changeOf(ages, lengthDays)
  const tests: TestResult[] = [
    ...(trend ? [{ test: 'laplace' as const, n: trend.n, statistic: trend.laplaceZ, p: trend.p }] : []),
    ...(change
      ? [
          {
            test: 'rate-change' as const,
            n: change.recent.count + change.before.count,
            statistic: change.lowRatio,
            p: change.p,
          },
        ]
      : []),
  ]
  return {
    rate: rateOf(independent.length, Math.max(lengthDays, 1e-6)),
    ...(trend && { trend }),
    ...(change && { change }),
    tests,
  }
}

function durationsOf(series: Series): { sorted: number[]; account: SeriesAnalysis['durations'] } {
  const sorted = durationsMs(series.intervals)
  const medianMs = medianOf(sorted)
  return {
    sorted,
    account: {
      whole: sorted.length,
      ...(medianMs !== undefined && { medianMs, shortestMs: sorted[0]!, longestMs: sorted.at(-1)! }),
    },
  }
}

function isStanding({ keepsRestores, intervals }: Series): boolean {
  const last = intervals.at(-1)
  return keepsRestores && last?.start !== undefined && last.end === undefined
}

/**
 * What one kind of trouble at one device did over the time under watch, with the tests that its number of starts allows.
 *
 * bursts are taken as one event first; then rate, time of day, weekday, trend and the last month against those before
 *
 * @param expectedHour - an hour of the day that was suspected before looking [h]
 * @validity independent starts under an even watch; time off line is not known and counts as watched
 * @source each part names its own
 */
export function analyseSeries(series: Series, watch: Watch, expectedHour?: number): SeriesAnalysis {
  const starts = startsOf(series)
  const { independent, bursts } = thin(starts)
  const { sorted, account } = durationsOf(series)
  const ofWeek = weekday(independent)
  const { tests: timeTests, ...course } = overTime(series, independent, watch)
  return {
    ...series,
    starts,
    durations: account,
    isStanding: isStanding(series),
    bursts,
    isIntermittent: isIntermittent(starts, sorted),
    independent,
    ...(independent.length > 0 && { timeOfDay: timeOfDay(independent) }),
    ...(ofWeek && { weekday: ofWeek.weekday }),
    ...course,
    tests: [...timeOfDayTests(independent, expectedHour), ...(ofWeek ? [ofWeek.test] : []), ...timeTests],
  }
}
