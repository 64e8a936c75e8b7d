import type { CallEventBody, Speaker } from '../../domain/calls/event.ts'

/** Every sentence that calls say by themselves: one place, neutral, without a word on anybody's fault. */

export const SPEAKER_WORDS: Record<Speaker, string> = {
  caller: 'caller',
  shop: 'shop',
  technician: 'technician',
  system: 'system',
}
export const REASON_WORDS: Record<string, string> = {
  'cannot-reach': 'cannot be reached',
  'no-tool': 'no tool for it',
  unsafe: 'not safe there',
  'not-allowed': 'not allowed',
  'no-time': 'no time',
  'not-wanted': 'not wanted',
  'done-before': 'done before',
}
export const TRIED_WORDS: Record<string, string> = {
  cleared: 'the trouble cleared',
  'came-back': 'the trouble cleared and came back',
  'no-change': 'nothing changed',
}
export const CONFIRMED_WORDS: Record<string, string> = {
  check: 'by a check',
  repair: 'by the repair',
  technician: 'by a technician',
  said: 'as it was said',
}
export const CONCLUSION_WORDS: Record<string, string> = {
  confirmed: 'The cause was confirmed.',
  'gone-by-itself': 'The trouble went by itself; no cause was confirmed.',
  'not-confirmed': 'The call ended without a confirmed cause.',
}

export const CLOSING_QUESTION = {
  ask: 'Is the trouble still clear, did the same come back, or is it something else now?',
  answers: [
    { answer: 'cleared' as const, label: 'Still clear' },
    { answer: 'came-back' as const, label: 'The same came back' },
    { answer: 'something-else' as const, label: 'Something else now' },
  ],
}
/** The question is asked one to two days after the close: common practice, no source. */
export const CLOSING_QUESTION_FROM_MS = 24 * 3_600_000
export const CLOSING_QUESTION_UNTIL_MS = 48 * 3_600_000

/** What the summary says of itself. */
export const SUMMARY_FOOT =
  'This sheet repeats what was reported and advised by telephone. It is not a certificate and nothing in it was inspected at the site. Local codes, and a licensed technician where they ask for one, come first.'

const MS_A_MINUTE = 60_000
/** "2 d 3 h", "3 h 5 min", "12 min". */
export function durationWords(milliseconds: number): string {
  const minutes = Math.max(0, Math.floor(milliseconds / MS_A_MINUTE))
  const [days, hours, rest] = [Math.floor(minutes / 1440), Math.floor((minutes % 1440) / 60), minutes % 60]
  if (days > 0) return hours > 0 ? `${days} d ${hours} h` : `${days} d`
  if (hours > 0) return rest > 0 ? `${hours} h ${rest} min` : `${hours} h`
  return `${rest} min`
}

/** "2026-03-02 14:05 UTC". */
export const timeWords = (milliseconds: number) =>
  `${new Date(milliseconds).toISOString().slice(0, 16).replace('T', ' ')} UTC`

export interface Standing {
  site: string
  label: string
  device?: string | undefined
  from: number
  until?: number | undefined
  asOf: number
  protection: string
}

function spanWords({ from, until, asOf }: Standing): string {
  const lasted = durationWords((until ?? asOf) - from)
  return until === undefined
    ? `reported from ${timeWords(from)}, still standing as of ${timeWords(asOf)} (${lasted})`
    : `reported from ${timeWords(from)} to ${timeWords(until)} (${lasted})`
}
const whatWords = ({ label, device }: Standing) => (device === undefined ? `"${label}"` : `"${label}" (${device})`)

/** For the center that watches the site. */
export const monitoringText = (standing: Standing) =>
  `Site ${standing.site}: trouble ${whatWords(standing)}, ${spanWords(standing)}. ${standing.protection} Please take this into account for signals from the site, and tell us if your records differ.`

/** For the insurer, who asks what was protected and when. */
export const insurerText = (standing: Standing) =>
  `Site ${standing.site}: trouble of the alarm system ${whatWords(standing)}, ${spanWords(standing)}. What this means for protection: ${standing.protection} The times are those of reports by telephone; the trouble may have begun before it was noticed. Whether conditions of cover are touched is for the policy to say.`

export interface Versions {
  engine: string
  release: string
  rates: { id: string }
}
const otherOf = (what: string, then: string, now: string) =>
  then === now ? [] : [`another ${what} (${then} then, ${now} now)`]

/** What a replay says of itself before any number. */
export function replaySentence(stored: Versions, now: Versions, isSame: boolean): string {
  const differs = [
    ...otherOf('engine', stored.engine, now.engine),
    ...otherOf('release of the ontology', stored.release, now.release),
    ...(stored.rates.id === now.rates.id
      ? []
      : [`on ${now.rates.id} rates, as the set ${stored.rates.id} of the stored answer is not kept any more`]),
  ]
  const by = differs.length === 0 ? 'The same engine, release and rates' : `This is ${differs.join(' and ')}. It`
  const verb = differs.length === 0 ? 'give' : 'gives'
  return `${by} ${verb} ${isSame ? 'the same answer' : 'another answer'}; the stored answer stays as it was given.`
}

export type Worded = (id: string) => string
const at = (device: string | undefined) => (device === undefined ? '' : ` (${device})`)

/** A step of a call as one line. */
export function stepLine(step: CallEventBody, label: Worded, result: (check: string, id: string) => string): string {
  switch (step.kind) {
    case 'asked':
      return `Asked: ${label(step.check)}${at(step.device)}`
    case 'answered':
      return `Answered: ${label(step.check)}${at(step.device)}: ${result(step.check, step.result)}`
    case 'checked':
      return `Checked: ${label(step.check)}${at(step.device)}: ${result(step.check, step.result)}`
    case 'skipped':
      return `Skipped: ${label(step.check)}${at(step.device)}: ${REASON_WORDS[step.reason]}`
    case 'tried':
      return `Done: ${label(step.remedy)}${at(step.device)}: ${TRIED_WORDS[step.result]}`
    case 'withdrawn':
      return `Withdrawn: finding ${step.finding + 1}`
    default:
      return ''
  }
}
