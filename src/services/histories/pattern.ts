import type { JudgedSeries } from '../../domain/histories/series.ts'
import type { JudgedTest, TestName } from '../../domain/histories/types.ts'

/** What the tests of the time of day say together. */
export interface Pattern {
  kind: 'fixed-hour' | 'night' | 'part-of-day' | 'half-day' | 'some-shape'
  /** The test that says it most clearly. */
  test: JudgedTest
}

/** Three quarters of the starts within so many hours count as one hour of the day. Judgement. */
const FIXED_HOUR_WIDTH = 2
/** Share of the starts by night that counts as "at night". Judgement. */
const NIGHT_SHARE = 0.75

const clearest = (tests: readonly JudgedTest[], names: readonly TestName[]) =>
  tests.filter(({ test, isClear }) => isClear && names.includes(test)).sort((a, b) => a.p - b.p)[0]

/** The pattern over the day that stands when the number of tests is allowed for; nothing when none does. */
export function patternOf({ tests, timeOfDay }: Pick<JudgedSeries, 'tests' | 'timeOfDay'>): Pattern | undefined {
  if (!timeOfDay) return undefined
  const { arc, nightShare } = timeOfDay
  const onePeak = clearest(tests, ['rayleigh', 'range'])
  if (onePeak && arc.widthHours <= FIXED_HOUR_WIDTH) return { kind: 'fixed-hour', test: onePeak }
  if (onePeak && nightShare >= NIGHT_SHARE) return { kind: 'night', test: onePeak }
  if (onePeak) return { kind: 'part-of-day', test: onePeak }
  const twoPeaks = clearest(tests, ['rayleigh-half-day'])
  if (twoPeaks) return { kind: 'half-day', test: twoPeaks }
  const shape = clearest(tests, ['hodges-ajne', 'kuiper'])
  return shape && { kind: 'some-shape', test: shape }
}
