import { DomainError } from '../errors.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { type Cleaned, clean } from './clean.ts'
import { type ClockSteps, clockSteps } from './clock-steps.ts'
import { type BatteryLoad, type Endurance, endurance } from './endurance.ts'
import { adjustForNumber, FALSE_DISCOVERY_RATE } from './false-discovery.ts'
import { type Moments, momentsOf } from './moments.ts'
import { pair } from './pair.ts'
import { analyseSeries, type JudgedSeries, type SeriesAnalysis, type Watch } from './series.ts'
import { type Succession, succession } from './succession.ts'
import type { HistoryEvent, JudgedTest, Span, TestResult, TimedEvent } from './types.ts'

/** A kind of event that may bring on another. */
export interface SuccessionRule {
  first: string
  second: string
  withinHours: number
}
export interface HistoryInput {
  /** In the order of the list. */
  events: readonly HistoryEvent[]
  /** Name of the IANA time-zone database. */
  zone?: string
  /** Time under watch, where it is known [ms]; else from the first to the last event. */
  watch?: Partial<Span>
  /** An hour of the day that was suspected before looking [h]. */
  expectedHour?: number
  successions: readonly SuccessionRule[]
  /** Kinds from whose intervals the endurance of the battery follows. */
  battery: { mains: string; low: string; load?: BatteryLoad }
  /** Series that are analysed and answered, those with most events first. */
  mostSeries: number
}
export interface JudgedSuccession extends SuccessionRule, Succession {
  test?: JudgedTest
}
export interface HistoryAnalysis {
  received: number
  moments: Omit<Moments, 'events'>
  cleaned: Omit<Cleaned, 'events'> & { kept: number }
  clock: ClockSteps
  watch?: Watch
  series: JudgedSeries[]
  seriesLeftOut: number
  successions: JudgedSuccession[]
  endurance?: Endurance & { test?: JudgedTest }
  /** Tests made in all, which each adjusted p allows for. */
  tests: number
}

function check({ events, watch = {}, expectedHour, battery }: HistoryInput): void {
  const { fromMs, toMs } = watch
  refuseTogether([
    () => {
      if (events.length === 0) throw new DomainError('NO_EVIDENCE', 'give at least one event', { path: '/events' })
    },
    () => expectedHour !== undefined && within(expectedHour, '/expectedTime', 0, 24, 'h'),
    () => battery.load && within(battery.load.loadCurrentA, '/loadCurrent', 1e-4, 1000, 'A'),
    () => {
      if (fromMs === undefined || toMs === undefined || fromMs < toMs) return
      throw new DomainError('QUANTITY_OUT_OF_RANGE', 'watch must end after it begins', {
        path: '/watch/to',
        limit: 'after its start',
      })
    },
  ])
}

function watchOf(events: readonly TimedEvent[], given: Partial<Span> = {}): Watch | undefined {
  const [first, last] = [events[0], events.at(-1)]
  if (!first || !last) return undefined
  return {
    fromMs: given.fromMs ?? first.atMs,
    toMs: given.toMs ?? last.atMs,
    isFromGiven: given.fromMs !== undefined,
    isToGiven: given.toMs !== undefined,
  }
}

const startTimes = (series: readonly SeriesAnalysis[], kind: string) =>
  series
    .filter((one) => one.kind === kind)
    .flatMap(({ independent }) => independent.map(({ atMs }) => atMs))
    .sort((a, b) => a - b)

function successionsOf(rules: readonly SuccessionRule[], series: readonly SeriesAnalysis[], watch: Watch) {
  return rules.flatMap((rule) => {
    const firsts = startTimes(series, rule.first)
    const seconds = startTimes(series, rule.second)
    if (firsts.length === 0 || seconds.length === 0) return []
    const result = succession(firsts, seconds, rule.withinHours, watch)
    const { windows: n, followed: statistic, p } = result
    return [{ rule, result, tests: p === undefined ? [] : [{ test: 'succession' as const, n, statistic, p }] }]
  })
}

/** Mains and battery belong to one system: only series without a device, or of one and the same, are looked at. */
function enduranceOf(series: readonly SeriesAnalysis[], { mains, low, load }: HistoryInput['battery']) {
  const losses = series.find(({ kind }) => kind === mains)
  if (!losses) return undefined
  const signals = series.find(({ kind, device }) => kind === low && device === losses.device)
  const result = endurance(losses, signals ?? { intervals: [] }, load)
  if (result.outages.length === 0) return undefined
  const { slope, whole } = result
  const tests: TestResult[] = slope ? [{ test: 'kendall', n: whole, statistic: slope.tau, p: slope.p }] : []
  return { result, tests }
}

/** All tests together, each told how many there are. */
function judge(tests: readonly TestResult[]): (test: TestResult) => JudgedTest {
  const adjusted = adjustForNumber(tests.map(({ p }) => p))
  const byTest = new Map(tests.map((test, index) => [test, adjusted[index]!]))
  return (test) => {
    const adjustedP = byTest.get(test)!
    return { ...test, adjustedP, isClear: adjustedP <= FALSE_DISCOVERY_RATE }
  }
}

/**
 * Patterns in the event list of one system: what comes at an hour, in bursts, more often than before, or after something
 * else; and what the list itself gets wrong.
 *
 * times are placed in civil time, cleaned, paired into intervals, thinned of bursts and tested; every p is adjusted for
 * the number of tests
 *
 * @param input - events in the order of the list; times [ms], currents [A]
 * @returns records with counts and probabilities, in no words
 * @throws DomainError NO_EVIDENCE without events; UNKNOWN_ID for a zone; QUANTITY_OUT_OF_RANGE, all mistakes together
 * @validity one system under an even watch; a list of fixed length forgets its oldest events; absence of a report is no proof
 * @source each part names its own
 */
export function analyseHistory(input: HistoryInput): HistoryAnalysis {
  check(input)
  const { events: timed, ...moments } = momentsOf(input.events, input.zone)
  const { events, ...cleaned } = clean(timed, input.watch)
  const kept = new Set(events.map(({ index }) => index))
  const watch = watchOf(events, input.watch)
  const paired = pair(events).sort((a, b) => b.events - a.events)
  const series = watch
    ? paired.slice(0, input.mostSeries).map((one) => analyseSeries(one, watch, input.expectedHour))
    : []
  const successions = watch ? successionsOf(input.successions, series, watch) : []
  const battery = enduranceOf(series, input.battery)
  const tests = [...series, ...successions, ...(battery ? [battery] : [])].flatMap((part) => part.tests)
  const judged = judge(tests)
  return {
    received: input.events.length,
    moments,
    cleaned: { ...cleaned, kept: events.length },
    clock: clockSteps(timed.filter(({ index }) => kept.has(index))),
    ...(watch && { watch }),
    series: series.map((one) => ({ ...one, tests: one.tests.map(judged) })),
    seriesLeftOut: Math.max(0, paired.length - input.mostSeries),
    successions: successions.map(({ rule, result, tests: [test] }) => ({
      ...rule,
      ...result,
      ...(test && { test: judged(test) }),
    })),
    ...(battery && {
      endurance: { ...battery.result, ...(battery.tests[0] && { test: judged(battery.tests[0]) }) },
    }),
    tests: tests.length,
  }
}
