import type { HistoryAnalysis, JudgedSuccession } from '../../domain/histories/analyse-history.ts'
import type { JudgedSeries } from '../../domain/histories/series.ts'
import type { JudgedTest, TimedEvent } from '../../domain/histories/types.ts'
import { patternOf } from './pattern.ts'
import type { Kind } from './resolve-events.ts'
import { TEST_NAMES } from './series-sentences.ts'
import { clockText, wireTime } from './wire-times.ts'

const MOST_BURSTS = 20
const MOST_OUTAGES = 50

const amount = (value: number, unit: string) => ({ value, unit })
const seconds = (ms: number) => amount(ms / 1000, 's')
const hours = (value: number) => amount(value, 'h')
const days = (value: number) => amount(value, 'd')
const perDay = (value: number) => amount(value, '/d')

const wireTest = ({ isClear, ...test }: JudgedTest) => ({ ...test, name: TEST_NAMES[test.test], clear: isClear })

type When = (event: Pick<TimedEvent, 'atMs' | 'localMs'>) => string

function wireHour(series: JudgedSeries) {
  const { timeOfDay } = series
  if (!timeOfDay) return {}
  const { days: onDays, reason, summary, arc, nightShare, isRounded } = timeOfDay
  const pattern = patternOf(series)
  return {
    timeOfDay: {
      days: onDays,
      ...(reason && { reason }),
      meanResultantLength: summary.meanResultantLength,
      ...(summary.meanHours !== undefined && { mean: clockText(summary.meanHours) }),
      ...(summary.halfWidthHours !== undefined && { meanHalfWidth: hours(summary.halfWidthHours) }),
      window: { from: clockText(arc.fromHours), to: clockText(arc.toHours), count: arc.count },
      nightFraction: nightShare,
      rounded: isRounded,
      ...(pattern && { pattern: pattern.kind }),
    },
  }
}

function wireCourse({ rate, trend, change, weekday }: JudgedSeries) {
  return {
    ...(rate && {
      rate: {
        exposure: days(rate.exposureDays),
        rate: perDay(rate.perDay),
        low: perDay(rate.lowPerDay),
        high: perDay(rate.highPerDay),
      },
    }),
    ...(weekday && {
      weekday: {
        weeks: weekday.weeks,
        meanResultantLength: weekday.summary.meanResultantLength,
        ...(weekday.summary.meanHours !== undefined && { hoursSinceMonday: hours(weekday.summary.meanHours) }),
      },
    }),
    ...(trend && {
      trend: { laplaceZ: trend.laplaceZ, militaryHandbook: trend.militaryHandbook, reversals: trend.reversals },
    }),
    ...(change && {
      change: {
        recent: { count: change.recent.count, duration: days(change.recent.days) },
        before: { count: change.before.count, duration: days(change.before.days) },
        ...(change.ratio !== undefined && { ratio: change.ratio }),
        lowRatio: change.lowRatio,
        ...(change.highRatio !== undefined && { highRatio: change.highRatio }),
      },
    }),
  }
}

function wireDurations({ whole, medianMs, shortestMs, longestMs }: JudgedSeries['durations']) {
  return {
    whole,
    ...(medianMs !== undefined && { median: seconds(medianMs) }),
    ...(shortestMs !== undefined && { shortest: seconds(shortestMs) }),
    ...(longestMs !== undefined && { longest: seconds(longestMs) }),
  }
}

function wireSeries(series: JudgedSeries, kind: Kind, when: When) {
  const { device, events, starts, repeats, keepsRestores, isStanding, isIntermittent, independent, bursts } = series
  return {
    ...kind,
    ...(device !== undefined && { device }),
    events,
    starts: starts.length,
    repeats,
    restoresKept: keepsRestores,
    standing: isStanding,
    intermittent: isIntermittent,
    independentStarts: independent.length,
    durations: wireDurations(series.durations),
    burstCount: bursts.length,
    bursts: bursts
      .slice(0, MOST_BURSTS)
      .map(({ first, last, count }) => ({ first: when(first), last: when(last), count })),
    ...wireHour(series),
    ...wireCourse(series),
    tests: series.tests.map(wireTest),
  }
}

const wireSuccession = (succession: JudgedSuccession, labelOf: (kind: string) => string) => {
  const { first, second, withinHours, windows, followed, chance, medianLagHours, test } = succession
  return {
    first: labelOf(first),
    second: labelOf(second),
    within: hours(withinHours),
    windows,
    followed,
    chance,
    ...(medianLagHours !== undefined && { medianLag: hours(medianLagHours) }),
    ...(test && { test: wireTest(test) }),
  }
}

function wireEndurance({ endurance }: HistoryAnalysis) {
  if (!endurance) return {}
  const { outages, whole, medianHours, slope, capacity, atLeastAh, test } = endurance
  const ah = (value: number) => amount(value, 'A.h')
  return {
    endurance: {
      outages: outages.length,
      whole,
      ...(medianHours !== undefined && { median: hours(medianHours) }),
      ...(slope && { slopePerYear: hours(slope.slope) }),
      ...(capacity && { capacity: { low: ah(capacity.lowAh), value: ah(capacity.ah), high: ah(capacity.highAh) } }),
      ...(atLeastAh !== undefined && { atLeast: ah(atLeastAh) }),
      ...(test && { test: wireTest(test) }),
      latest: outages.slice(-MOST_OUTAGES).map(({ fromMs, hours: lasted, isEnded, capacityAh }) => ({
        from: new Date(fromMs).toISOString(),
        lasted: hours(lasted),
        endedBy: isEnded ? ('battery-low' as const) : ('mains-restored' as const),
        ...(capacityAh !== undefined && { capacity: ah(capacityAh) }),
      })),
    },
  }
}

/** The records of an analysis on the wire, without sentences. */
export function wordHistory(analysis: HistoryAnalysis, kinds: ReadonlyMap<string, Kind>, hasOffset: boolean) {
  const { received, cleaned, moments, clock, watch, series, seriesLeftOut, successions, tests } = analysis
  const when: When = (event) => wireTime(event, hasOffset)
  return {
    cleaned: {
      received,
      kept: cleaned.kept,
      repeats: cleaned.repeats.length,
      impossible: moments.impossible.length,
      beforePlausibleYear: cleaned.beforePlausibleYear.length,
      outsideWatch: cleaned.outsideWatch.length,
      farAway: cleaned.farAway.length,
    },
    clock: {
      timeOfDay: moments.timeOfDay,
      order: clock.order,
      stepsBack: clock.count,
      steps: clock.steps.map(({ before, after, backMs }) => ({
        before: when(before),
        after: when(after),
        back: seconds(backMs),
      })),
      inSkippedHour: moments.never.length,
      inRepeatedHour: moments.twice.length,
    },
    ...(watch && {
      watch: {
        from: new Date(watch.fromMs).toISOString(),
        to: new Date(watch.toMs).toISOString(),
        fromGiven: watch.isFromGiven,
        toGiven: watch.isToGiven,
      },
    }),
    series: series.map((one) => wireSeries(one, kinds.get(one.kind)!, when)),
    seriesLeftOut,
    successions: successions.map((one) => wireSuccession(one, (kind) => kinds.get(kind)?.label ?? kind)),
    ...wireEndurance(analysis),
    testsMade: tests,
  }
}
