import type { JudgedSeries } from '../../domain/histories/series.ts'
import type { JudgedTest, TestName } from '../../domain/histories/types.ts'
import { patternOf } from './pattern.ts'
import { chanceText, clockText, counted, dateText, durationText } from './wire-times.ts'

export const TEST_NAMES: Record<TestName, string> = {
  rayleigh: 'Rayleigh test',
  range: 'circular range test',
  'hodges-ajne': 'Hodges-Ajne test',
  kuiper: 'Kuiper test',
  'rayleigh-half-day': 'Rayleigh test on a 12-hour dial',
  'expected-hour': 'V test of the expected hour',
  'rayleigh-week': 'Rayleigh test over the week',
  laplace: 'Laplace test',
  'rate-change': 'exact test of two rates',
  succession: 'binomial test',
  kendall: "Kendall's test",
}

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday']

export const accident = ({ test, p }: JudgedTest) => `chance of that by accident ${chanceText(p)} (${TEST_NAMES[test]})`
const starts = (count: number) => counted(count, 'start')

export const testNamed = ({ tests }: Pick<JudgedSeries, 'tests'>, name: TestName) =>
  tests.find(({ test }) => test === name)
const clear = (series: JudgedSeries, name: TestName) => {
  const test = testNamed(series, name)
  return test?.isClear ? test : undefined
}

function countSentence({ starts: begun, repeats, isStanding, keepsRestores, durations, bursts }: JudgedSeries): string {
  const again = repeats > 0 ? `, reported again ${counted(repeats, 'time')} while it stood` : ''
  const lasted =
    durations.whole > 0
      ? `; it lasted ${durationText(durations.medianMs!)} at the median, ${durationText(durations.shortestMs!)} to ${durationText(durations.longestMs!)}`
      : ''
  const gone = keepsRestores ? '' : '; the list keeps no restores, so nothing is known of how long it lasted'
  const standing = isStanding ? '; the last one has not been reported gone' : ''
  const inBursts = bursts.reduce((sum, { count }) => sum + count, 0)
  const burst =
    bursts.length > 0 ? `; ${inBursts} of them came in ${counted(bursts.length, 'burst')}, each taken as one` : ''
  return `${starts(begun.length)}${again}${lasted}${gone}${standing}${burst}.`
}

function hourSentences(series: JudgedSeries): string[] {
  const { timeOfDay, independent } = series
  if (!timeOfDay) return []
  const { n, days, reason, summary, isRounded } = timeOfDay
  if (reason === 'too-few-starts') return [`Too few to tell an hour: ${independent.map(dateText).join(', ')}.`]
  if (reason === 'too-few-days') return [`All on ${counted(days, 'day')}: too few days to tell an hour.`]
  const pattern = patternOf(series)
  // The range test speaks of the arc with every start, the others of how the most of them gather.
  const arc = pattern?.test.test === 'range' ? timeOfDay.wholeArc : timeOfDay.arc
  const window = `${arc.count} of ${n} starts fall between ${clockText(arc.fromHours)} and ${clockText(arc.toHours)}`
  const mean =
    summary.meanHours !== undefined && summary.halfWidthHours !== undefined
      ? ` The mean is ${clockText(summary.meanHours)}, give or take ${durationText(summary.halfWidthHours * 3_600_000)}.`
      : ''
  const rounded = isRounded && pattern ? ' All times stand on the full hour, so that the test is too eager.' : ''
  if (pattern?.kind === 'half-day')
    return [`They gather round two hours twelve hours apart; ${accident(pattern.test)}.${rounded}`]
  if (pattern?.kind === 'some-shape')
    return [`They are not spread evenly over the day; ${accident(pattern.test)}.${rounded}`]
  if (pattern) return [`${window}; ${accident(pattern.test)}.${mean}${rounded}`]
  return [`No hour of the day stands out among ${starts(n)}.`]
}

function weekSentences(series: JudgedSeries): string[] {
  const test = clear(series, 'rayleigh-week')
  const mean = series.weekday?.summary.meanHours
  if (!test || mean === undefined) return []
  return [`They gather round ${WEEKDAYS[Math.floor(mean / 24) % 7]} ${clockText(mean % 24)}; ${accident(test)}.`]
}

function expectedSentences(series: JudgedSeries): string[] {
  const test = testNamed(series, 'expected-hour')
  if (!test) return []
  return [
    test.isClear
      ? `They gather round the hour that was expected; ${accident(test)}.`
      : 'They do not gather round the hour that was expected.',
  ]
}

/** A rate in the unit that the length of the watch suits. */
const rateText = (perDay: number, exposureDays: number) =>
  exposureDays < 30 ? `${perDay.toPrecision(2)} a day` : `${(perDay * 30).toPrecision(2)} in 30 days`

function rateSentences(series: JudgedSeries): string[] {
  const { rate, trend, change } = series
  const laplace = clear(series, 'laplace')
  const changed = clear(series, 'rate-change')
  const course = laplace && `They come ever ${trend!.laplaceZ > 0 ? 'faster' : 'slower'}; ${accident(laplace)}.`
  const less = change?.ratio === undefined || change.ratio >= 1 ? 'more' : 'less'
  const times = change?.ratio === undefined ? '' : `, ${Number(change.ratio.toPrecision(2))} times the rate`
  return [
    ...(rate
      ? [
          `Rate ${rateText(rate.perDay, rate.exposureDays)}, 95 % limits ${rateText(rate.lowPerDay, rate.exposureDays)} to ${rateText(rate.highPerDay, rate.exposureDays)}.`,
        ]
      : []),
    ...(course ? [course] : []),
    ...(changed && change
      ? [
          `It came ${less} often in the last ${change.recent.days} days: ${change.recent.count}, against ${change.before.count} in the ${Math.round(change.before.days)} days before${times}; ${accident(changed)}.`,
        ]
      : []),
  ]
}

/** What one series did, in sentences without its name. */
export function seriesSentences(series: JudgedSeries): string[] {
  return [
    countSentence(series),
    ...(series.isIntermittent ? ['It comes and goes by itself, short and often.'] : []),
    ...hourSentences(series),
    ...expectedSentences(series),
    ...weekSentences(series),
    ...rateSentences(series),
  ]
}
