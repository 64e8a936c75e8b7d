import type { SentFinding } from '../../domain/calls/event.ts'
import type { CallState, FoundFinding } from '../../domain/calls/state.ts'
import type { Check } from '../../ontology/shape.ts'
import type { DiagnosisAnswer } from '../diagnose.ts'
import type { Wording } from '../texts.ts'
import { spansOf } from './concepts.ts'
import {
  CONCLUSION_WORDS,
  CONFIRMED_WORDS,
  durationWords,
  SPEAKER_WORDS,
  SUMMARY_FOOT,
  stepLine,
  TRIED_WORDS,
  timeWords,
} from './texts.ts'

/** A call on a sheet, before it is drawn: plain lines, nothing marked up. */
export interface CallSummary {
  title: string
  language: string
  facts: [name: string, value: string][]
  sections: { heading: string; lines: string[]; isWarning?: boolean }[]
  foot: string
}

class Words {
  readonly wording: Wording
  constructor(wording: Wording) {
    this.wording = wording
  }
  label = (id: string): string => (this.wording.release.concepts.has(id) ? this.wording.label(id) : id)
  result = (check: string, id: string): string => {
    if (!this.wording.release.concepts.has(check)) return id
    const concept = this.wording.concept<Check>(check)
    const found = concept.results.find((entry) => entry.id === id)
    return found ? this.wording.result(concept, found) : id === 'dont-know' ? 'not known' : id
  }
}

const STATES: Record<string, string> = { present: '', absent: 'not shown', holds: '', 'does-not-hold': 'does not hold' }

function findingWords(finding: SentFinding, words: Words): string {
  const { kind, quantity, complete } = finding
  const text = (field: string) => String(finding[field])
  if (kind === 'condition' || kind === 'context') {
    const state = STATES[text('state')] ?? ''
    return `${words.label(text(kind))}${state === '' ? '' : `: ${state}`}`
  }
  if (kind === 'answer') return `${words.label(text('check'))}: ${words.result(text('check'), text('result'))}`
  if (kind === 'reading') {
    const { value, unit } = quantity as { value: number; unit: string }
    return `${words.label(text('reading'))}: ${value} ${unit}`
  }
  if (kind === 'tried') return `${words.label(text('remedy'))}: ${TRIED_WORDS[text('result')]}`
  if (kind === 'signal')
    return `Signal ${text('scheme')} ${text('code')}${finding.state === 'absent' ? ' restored' : ''}`
  return complete === true ? 'The display was read to its end' : 'The display holds more'
}

function findingLine({ finding, by, at, isWithdrawn }: FoundFinding, words: Words): string {
  const device = finding.device === undefined ? '' : ` (${finding.device})`
  const seen = finding.observedAt === undefined ? at : Date.parse(finding.observedAt)
  const gone = isWithdrawn ? ' [withdrawn]' : ''
  return `${timeWords(seen)}, ${SPEAKER_WORDS[by]}: ${findingWords(finding, words)}${device}${gone}`
}

/** What was reported: a remedy that was tried stands among what was done, unless that was a mistake. */
function reportedIn({ findings, steps }: CallState): FoundFinding[] {
  const done = new Set(steps.flatMap(({ kind, seq }) => (kind === 'tried' ? [seq] : [])))
  return findings.filter(({ seq, isWithdrawn }) => isWithdrawn || !done.has(seq))
}

const percent = (shown: number) => `${Math.round(shown * 100)} %`

function adviceSections(state: CallState, answer: DiagnosisAnswer | undefined): CallSummary['sections'] {
  const advised = state.advice.at(-1)
  if (!advised || !answer) return []
  const cautions = answer.cautions.map(({ label, text }) => `${label}: ${text}`)
  return [
    { heading: 'Stop', lines: answer.stop ? [answer.stop.reason, ...answer.stop.acts] : [], isWarning: true },
    { heading: 'Cautions', lines: cautions, isWarning: true },
    {
      heading: `Likely causes, as of ${timeWords(advised.at)}`,
      lines: advised.causes.map(
        ({ label, device, shown, word }) =>
          `${label}${device === undefined ? '' : ` (${device})`}: ${percent(shown)}, ${word}`,
      ),
    },
    { heading: 'Advised, in this order', lines: answer.plan.map(({ label, who }) => `${label} (${who})`) },
    { heading: 'At the end of the call', lines: answer.closing },
  ]
}

function outcomeSection({ outcome, followUps }: CallState, words: Words): CallSummary['sections'] {
  if (!outcome) return []
  const confirmed = outcome.confirmed.map(
    ({ cause, device, by }) =>
      `${words.label(cause)}${device === undefined ? '' : ` (${device})`}, confirmed ${CONFIRMED_WORDS[by]}`,
  )
  const remedy = outcome.remedy === undefined ? [] : [`Clear after: ${words.label(outcome.remedy)}`]
  const asked = followUps.map(({ at, answer }) => `Asked again ${timeWords(at)}: ${answer.replaceAll('-', ' ')}`)
  return [{ heading: 'Outcome', lines: [CONCLUSION_WORDS[outcome.conclusion]!, ...confirmed, ...remedy, ...asked] }]
}

function protectionSection(state: CallState, wording: Wording, now: number): CallSummary['sections'] {
  const lines = spansOf(wording.release, state).map(({ condition, device, from, until }) => {
    const name = `${wording.label(condition)}${device === undefined ? '' : ` (${device})`}`
    const end = until === undefined ? `still as of ${timeWords(now)}` : `to ${timeWords(until)}`
    const protection = wording.say(wording.concept<{ protection: Parameters<Wording['say']>[0] }>(condition).protection)
    return `${name}: reported from ${timeWords(from)}, ${end} (${durationWords((until ?? now) - from)}). ${protection}`
  })
  return [{ heading: 'Protection meanwhile', lines }]
}

function factsOf(callId: string, state: CallState): [string, string][] {
  const { siteRef, outcome, openedAt, release } = state
  const engine = state.advice.at(-1)?.basis.engine
  return [
    ['Call', callId],
    ...(siteRef === undefined ? [] : [['Site', siteRef] as [string, string]]),
    ['Opened', timeWords(openedAt)],
    ['Closed', outcome ? timeWords(outcome.at) : 'open'],
    ['Ontology', `release ${release}${engine === undefined ? '' : `, engine ${String(engine)}`}`],
  ]
}

/** A call in the words that a shop sends or files. */
export function summariseCall(
  callId: string,
  state: CallState,
  { wording, answer, now }: { wording: Wording; answer: DiagnosisAnswer | undefined; now: number },
): CallSummary {
  const words = new Words(wording)
  const sections = [
    ...adviceSections(state, answer).filter(({ isWarning }) => isWarning === true),
    { heading: 'Reported', lines: reportedIn(state).map((entry) => findingLine(entry, words)) },
    {
      heading: 'Asked and done',
      lines: state.steps.map(
        (step) => `${timeWords(step.at)}, ${SPEAKER_WORDS[step.by]}: ${stepLine(step, words.label, words.result)}`,
      ),
    },
    ...adviceSections(state, answer).filter(({ isWarning }) => isWarning !== true),
    ...protectionSection(state, wording, now),
    ...outcomeSection(state, words),
    {
      heading: 'Notes',
      lines: state.notes.map(({ at, by, text }) => `${timeWords(at)}, ${SPEAKER_WORDS[by]}: ${text}`),
    },
  ].filter(({ lines }) => lines.length > 0)
  return {
    title: 'Call summary',
    language: wording.served.tag,
    facts: factsOf(callId, state),
    sections,
    foot: SUMMARY_FOOT,
  }
}
