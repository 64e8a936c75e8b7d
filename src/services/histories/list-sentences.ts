import type { HistoryAnalysis, JudgedSuccession } from '../../domain/histories/analyse-history.ts'
import { FAR_AWAY_YEARS, REPEAT_WITHIN_S } from '../../domain/histories/clean.ts'
import { accident } from './series-sentences.ts'
import { SUCCESSIONS } from './successions.ts'
import { counted, dateText, durationText } from './wire-times.ts'

type LabelOf = (kind: string) => string

const some = (count: number, one: string, many?: string) => (count === 0 ? [] : [counted(count, one, many)])

/** What was left out of the list, and what its clock did. */
export function listSentences({ received, cleaned, moments, clock, seriesLeftOut }: HistoryAnalysis): string[] {
  const out = [
    ...some(moments.impossible.length, 'time that no calendar has', 'times that no calendar has'),
    ...some(cleaned.beforePlausibleYear.length, 'time before 2005', 'times before 2005'),
    ...some(cleaned.outsideWatch.length, 'event outside the watch', 'events outside the watch'),
    ...some(cleaned.farAway.length, 'event', 'events').map(
      (words) => `${words} more than ${FAR_AWAY_YEARS} years away from the rest`,
    ),
    ...some(cleaned.repeats.length, 'repeat', 'repeats').map((words) => `${words} within ${REPEAT_WITHIN_S} s`),
  ]
  const wrongClock = cleaned.beforePlausibleYear.length + cleaned.farAway.length > 0
  const [step] = clock.steps
  return [
    `${cleaned.kept} of ${received} events kept${out.length > 0 ? `; left out: ${out.join(', ')}` : ''}.`,
    ...(wrongClock ? ['Times years away say that the clock had lost its time: set it, and look at why it did.'] : []),
    ...(step
      ? [
          `The list goes back in time ${counted(clock.count, 'time')}, first by ${durationText(step.backMs)} from ${dateText(step.before)}: the clock was set, or late reports came in.`,
        ]
      : []),
    ...(moments.never.length > 0
      ? [
          `In the hour that summer time skips: ${counted(moments.never.length, 'event')}. The clock that wrote it does not follow summer time.`,
        ]
      : []),
    ...(moments.twice.length > 0
      ? [
          `In the hour that comes twice when summer time ends: ${counted(moments.twice.length, 'event')}, taken as the first time.`,
        ]
      : []),
    ...(moments.timeOfDay === 'utc' ? ['Times of day are in UTC: give `zone` for those of the place.'] : []),
    ...(seriesLeftOut > 0 ? [`Series with fewer events that were not analysed: ${seriesLeftOut}.`] : []),
  ]
}

function successionSentence(succession: JudgedSuccession, labelOf: LabelOf): string {
  const { first, second, withinHours, windows, followed, medianLagHours, test } = succession
  const lag = medianLagHours === undefined ? '' : `, ${durationText(medianLagHours * 3_600_000)} later at the median`
  const counts = `${labelOf(second)} came within ${withinHours} h of ${labelOf(first)} in ${followed} of ${windows} cases${lag}`
  if (!test) return `${counts}; too few to tell more.`
  if (!test.isClear) return `${counts}; that may be accident.`
  const meaning = SUCCESSIONS.find((rule) => rule.first === first && rule.second === second)?.meaning
  return `${counts}; ${accident(test)}.${meaning === undefined ? '' : ` ${meaning}`}`
}

function enduranceSentences({ endurance }: HistoryAnalysis): string[] {
  if (!endurance) return []
  const { outages, whole, medianHours, slope, capacity, atLeastAh, test } = endurance
  const median = medianHours === undefined ? '' : `; half of them would last ${durationText(medianHours * 3_600_000)}`
  const ah = (value: number) => `${Number(value.toPrecision(2))} Ah`
  const last = outages.findLast(({ isEnded, capacityAh }) => isEnded && capacityAh !== undefined)?.capacityAh
  const latest = whole > 1 && last !== undefined ? `; the latest failure alone shows ${ah(last)}` : ''
  return [
    `${whole} of ${outages.length} mains failures of known length ran down to the low-battery signal${whole > 0 ? median : ''}.`,
    ...(slope && test?.isClear
      ? [
          `The time to the signal ${slope.slope < 0 ? 'shrinks' : 'grows'} by ${durationText(Math.abs(slope.slope) * 3_600_000)} a year; ${accident(test)}. Load and temperature may differ between outages.`,
        ]
      : []),
    ...(capacity
      ? [
          `At the stated load the battery has about ${ah(capacity.ah)}, ${ah(capacity.lowAh)} to ${ah(capacity.highAh)}, at the 20 h rate${latest}.`,
        ]
      : []),
    ...(atLeastAh === undefined
      ? []
      : [`Failures without a signal drew up to ${ah(atLeastAh)}: it has at least that.`]),
  ]
}

/** What follows what, and how long the battery carried the system. */
export function relationSentences(analysis: HistoryAnalysis, labelOf: LabelOf): string[] {
  return [
    ...analysis.successions.map((succession) => successionSentence(succession, labelOf)),
    ...enduranceSentences(analysis),
  ]
}
