import type { WrittenTime } from './event-time.ts'

export type EventState = 'trouble' | 'restore'

/** One line of an event list, in the order received. */
export interface HistoryEvent {
  /** Nothing when no calendar has such a time. */
  time: WrittenTime | undefined
  /** What came or went: one name for each kind of trouble. */
  kind: string
  device?: string
  state: EventState
}

/** An event whose time can be trusted. */
export interface TimedEvent {
  /** Position among the events received, from 0. */
  index: number
  /** The moment [ms since 1970 UTC]. */
  atMs: number
  /** What the clock on the wall showed, counted as if it were UTC [ms]. */
  localMs: number
  kind: string
  device?: string
  state: EventState
}

/** From the coming of a trouble to its going. */
export interface Interval {
  /** The coming; none when only the going was kept. */
  start?: TimedEvent
  /** The going; none when it still stands or the list keeps no goings. */
  end?: TimedEvent
}

/** All intervals of one kind at one device, in order. */
export interface Series {
  kind: string
  device?: string
  events: number
  intervals: Interval[]
  /** Troubles that came again while the last one stood: no new start. */
  repeats: number
  /** False when the list holds no going of this kind at all: durations are unknown, and every coming is a start. */
  keepsRestores: boolean
}

/** A stretch of time [ms since 1970 UTC]. */
export interface Span {
  fromMs: number
  toMs: number
}

export const TESTS = [
  'rayleigh',
  'range',
  'hodges-ajne',
  'kuiper',
  'rayleigh-half-day',
  'expected-hour',
  'rayleigh-week',
  'laplace',
  'rate-change',
  'succession',
  'kendall',
] as const
export type TestName = (typeof TESTS)[number]

/** A question put to the numbers. */
export interface TestResult {
  test: TestName
  /** Events that it rests on. */
  n: number
  statistic: number
  /** Probability of as much by accident. */
  p: number
}
/** The same among all questions put to a history. */
export interface JudgedTest extends TestResult {
  /** p with the number of tests allowed for. */
  adjustedP: number
  isClear: boolean
}
