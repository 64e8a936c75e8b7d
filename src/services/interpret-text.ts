import { type Interpretation, interpret, type Suggested } from '../domain/words/interpret.ts'
import { keyOf } from '../domain/words/lexicon.ts'
import type { Check, Reading, Text } from '../ontology/shape.ts'
import { basisOf } from './basis.ts'
import { preparedLexicon } from './lexicon.ts'
import type { Wording } from './texts.ts'

/** A finding as `POST /v1/diagnose` takes it. */
export type WireFinding =
  | { kind: 'condition'; condition: string; state: 'present' | 'absent' }
  | { kind: 'context'; context: string; state: 'holds' | 'does-not-hold' }
  | { kind: 'answer'; check: string; result: string }
  | { kind: 'reading'; reading: string; quantity: { value: number; unit: string } }

const inScore = (score: number) => Math.round(score * 1000) / 1000

function findingOf({ id, kind, result, state, quantity }: Suggested): WireFinding {
  if (kind === 'condition') return { kind, condition: id, state }
  if (kind === 'context') return { kind, context: id, state: state === 'present' ? 'holds' : 'does-not-hold' }
  if (kind === 'reading') return { kind, reading: id, quantity: quantity! }
  return { kind: 'answer', check: id, result: result! }
}

/** The question of circumstances whose answer tells a context, where there is one: the best way to confirm it. */
function checkThatSets({ release }: Wording, context: string): Check | undefined {
  return release.ontology.check.find(
    ({ model, results }) =>
      model.kind === 'applicability' &&
      (model.sets.some((set) => set.context === context) || results.some(({ implies }) => implies?.includes(context))),
  )
}

const withoutStop = (text: string) => text.replace(/\.$/, '')

function confirmReading(wording: Wording, { id, quantity }: Suggested): string {
  const { label, point } = wording.concept<Reading>(id)
  const { value, unit } = quantity!
  return `Is ${value} ${unit} this: ${wording.say(label)}? It is taken so: ${withoutStop(wording.say(point))}.`
}

/** What to ask before the suggestion is taken for a finding. */
function confirmation(wording: Wording, one: Suggested): string {
  if (one.kind === 'reading') return confirmReading(wording, one)
  if (one.kind === 'danger' || one.kind === 'check-result') return wording.ask(wording.concept<Check>(one.id))
  const check = one.kind === 'context' ? checkThatSets(wording, one.id) : undefined
  if (check) return wording.ask(check)
  const { label, lay } = wording.concept<{ label: Text; lay?: Text }>(one.id)
  const said = withoutStop(wording.say(lay ?? label))
  return one.state === 'present' ? `Is this what you mean: ${said}?` : `Is this not so: ${said}?`
}

function nameOf(wording: Wording, { id, result }: Pick<Suggested, 'id' | 'result'>): string {
  const label = wording.label(id)
  if (result === undefined) return label
  const check = wording.concept<Check>(id)
  const named = check.results.find((known) => known.id === result)
  return named && check.model.kind !== 'danger' ? `${label}: ${wording.result(check, named)}` : label
}

const worded = (wording: Wording) => (one: Suggested) => ({
  finding: findingOf(one),
  label: nameOf(wording, one),
  score: inScore(one.score),
  matched: one.matched,
  confirm: confirmation(wording, one),
})

/** Both meanings of a word, named, in the order of its question. */
function meaningsOf(wording: Wording, { dangers, suggestions, questions }: Interpretation) {
  const byKey = new Map([...dangers, ...suggestions].map((one) => [keyOf(one), one]))
  return questions.flatMap(({ word, between }) => {
    const both = between.flatMap((key) => byKey.get(key) ?? [])
    const named = both.map((one) => ({ finding: findingOf(one), label: nameOf(wording, one) }))
    return named.length === 2 ? [{ word, between: named }] : []
  })
}

/** What a caller's words may mean, as findings to be confirmed one by one; nothing of the text is kept. */
export function interpretText(wording: Wording, text: string) {
  const { served, release } = wording
  const answer = interpret(preparedLexicon(release, served.tag, served.pack), text)
  return {
    basis: basisOf(release),
    ...wording.stated(),
    text: answer.redacted,
    dangers: answer.dangers.map(worded(wording)),
    suggestions: answer.suggestions.map(worded(wording)),
    questions: meaningsOf(wording, answer),
    unmatched: answer.unmatched,
  }
}
