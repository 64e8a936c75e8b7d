import type { SignalEvent } from '../domain/signals/signal-event.ts'
import { basisOf } from './basis.ts'
import { type DecodedLine, decodeSignals, type SignalText } from './decode-signals.ts'
import { type FindingLimits, findingsFromSignals } from './findings-from-signals.ts'
import { inEnglish, type Wording } from './texts.ts'

export interface SignalsInput extends SignalText {
  wording: Wording
  limits: FindingLimits
}

/** The name that the crosswalk gives a code, beside the event. */
export function wordEvent({ release, served }: Wording, event: SignalEvent) {
  const crosswalk = release.ontology.crosswalks.find(({ scheme }) => scheme === event.scheme)
  const entry = crosswalk?.codes.find(({ code }) => code === event.code)
  return { ...event, ...(entry === undefined ? {} : { title: inEnglish(entry.title, served.english) }) }
}

const accountsOf = (lines: readonly DecodedLine[]) => [
  ...new Set(lines.flatMap(({ events }) => events.flatMap(({ account }) => (account === undefined ? [] : [account])))),
]

/** Decodes a text of signals and says what follows from it for a diagnosis. */
export async function answerSignals({ wording, limits, ...input }: SignalsInput) {
  const { release } = wording
  const lines = await decodeSignals(release, input)
  const placed = lines.flatMap(({ line, events }) => events.map((event) => ({ line, event })))
  return {
    basis: basisOf(release),
    ...wording.stated(),
    lines: lines.map((line) => ({ ...line, events: line.events.map((event) => wordEvent(wording, event)) })),
    accounts: accountsOf(lines),
    ...findingsFromSignals(release, placed, input.isStrict, limits),
  }
}
