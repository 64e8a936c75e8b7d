import { analyseHistory, type HistoryAnalysis, type HistoryInput } from '../../domain/histories/analyse-history.ts'
import type { JudgedSeries } from '../../domain/histories/series.ts'
import { basisOf } from '../basis.ts'
import { drawHistory } from '../drawings/history-plot.ts'
import type { Wording } from '../texts.ts'
import { listSentences, relationSentences } from './list-sentences.ts'
import { proposeFindings } from './propose-findings.ts'
import type { Kind, Resolved } from './resolve-events.ts'
import { seriesSentences } from './series-sentences.ts'
import { BATTERY_LOW, MAINS, SUCCESSIONS } from './successions.ts'
import { wordHistory } from './word-history.ts'

/** What a request says beside its events. */
export interface HistoryQuestion extends Pick<HistoryInput, 'zone' | 'watch' | 'expectedHour' | 'mostSeries'> {
  loadCurrentA?: number
}

const VALIDITY =
  'One system under an even watch: time off line is not known and counts as watched. A list of fixed length forgets its oldest events, so that its own first event may not be the first. Starts are taken as independent once bursts count as one. Each p is a chance under even spread; "clear" holds the share of false patterns among all tests made at 5 %. Bounds of bursts, repeats, night and fixed hour are judgement. No event is no proof of health, and no restore no proof that a fault stands: reports are held back or switched off.'

/** Label of a series, with its device. */
const labelOf = (kinds: ReadonlyMap<string, Kind>, { kind, device }: JudgedSeries) =>
  `${kinds.get(kind)!.label}${device === undefined ? '' : ` (${device})`}`

function wouldChange(
  { watch, moments, endurance, series }: HistoryAnalysis,
  { loadCurrentA }: HistoryQuestion,
): string[] {
  const few = series.filter(({ timeOfDay }) => timeOfDay?.reason !== undefined).length
  return [
    ...(watch && !(watch.isFromGiven && watch.isToGiven)
      ? ['The times from and to which the list was kept (`watch`): rates and trends rest on them.']
      : []),
    ...(moments.timeOfDay === 'zone'
      ? []
      : ['The zone of the place (`zone`): times of day and summer time rest on it.']),
    ...(few > 0 ? [`More events: ${few} series have too few starts, or too few days, to test the time of day.`] : []),
    ...(endurance && loadCurrentA === undefined
      ? ["The current of the system on its battery (`loadCurrent`): the battery's capacity would follow."]
      : []),
  ]
}

const analyse = ({ events }: Resolved, { loadCurrentA, ...question }: HistoryQuestion): HistoryAnalysis =>
  analyseHistory({
    ...question,
    events,
    successions: SUCCESSIONS.map(({ first, second, withinHours }) => ({ first, second, withinHours })),
    battery: { mains: MAINS, low: BATTERY_LOW, ...(loadCurrentA !== undefined && { load: { loadCurrentA } }) },
  })

/** The history in records, sentences and findings. */
export function analyseEvents(wording: Wording, resolved: Resolved, question: HistoryQuestion) {
  const { kinds } = resolved
  const analysis = analyse(resolved, question)
  const hasOffset = resolved.events.some(({ time }) => time?.offsetMinutes !== undefined)
  return {
    basis: basisOf(wording.release),
    ...wording.stated(),
    ...wordHistory(analysis, kinds, hasOffset || question.zone !== undefined),
    sentences: [
      ...listSentences(analysis),
      ...analysis.series.map((series) => `${labelOf(kinds, series)}: ${seriesSentences(series).join(' ')}`),
      ...relationSentences(analysis, (kind) => kinds.get(kind)?.label ?? kind),
    ],
    findings: proposeFindings(wording.release, analysis, kinds),
    validity: VALIDITY,
    wouldChange: wouldChange(analysis, question),
  }
}

/** The same history as a drawing. */
export function drawEvents(resolved: Resolved, question: HistoryQuestion): string {
  return drawHistory(analyse(resolved, question), (series) => labelOf(resolved.kinds, series))
}
