import type { Answer } from '../follows-shape.ts'
import type { Check, Ontology, Remedy } from '../shape.ts'
import type { Rule } from './rule.ts'

type Complaint = [message: string, remedy: string]
type Results = ReadonlyMap<string, ReadonlySet<string>>
const isSame = (a: Answer) => (b: Answer) => a.check === b.check && a.result === b.result

/** Answers that a step hangs on. */
function answersOf({ requires, requiresAny = [], notWith = [] }: Check | Remedy): Answer[] {
  return [...requires, ...requiresAny, ...notWith.filter((item) => typeof item !== 'string')]
}

/** A result that its check does not give would hold a step back for ever. */
function unknownResults(step: Check | Remedy, results: Results): Complaint[] {
  return answersOf(step)
    .filter(({ check, result }) => results.has(check) && !results.get(check)!.has(result))
    .map(({ check, result }) => [`hangs on result ${result} of ${check}, which does not give it`, 'Name one it gives'])
}

function atOdds(step: Check | Remedy): Complaint[] {
  const { requires, requiresAny = [], notWith = [] } = step
  const barred = notWith.filter((item) => typeof item !== 'string')
  const isBarred = (answer: Answer) => barred.some(isSame(answer))
  const only = 'onlyWith' in step ? (step.onlyWith ?? []) : []
  const never =
    requires.some(isBarred) ||
    (requiresAny.length > 0 && requiresAny.every(isBarred)) ||
    (only.length > 0 && only.every((id) => notWith.includes(id)))
  return never ? [['needs what notWith keeps it from', 'Take it out of one of the two']] : []
}

/** A question whose answer must be known before it is never put. */
function inCircle({ id }: Check, requires: ReadonlyMap<string, readonly string[]>): Complaint[] {
  const before = new Set(requires.get(id))
  for (const check of before) for (const next of requires.get(check) ?? []) before.add(next)
  return before.has(id) ? [['requires its own answer in a circle', 'Take out one of the requirements']] : []
}

function ofCheck(check: Check, requires: ReadonlyMap<string, readonly string[]>): Complaint[] {
  const isKeptBack = check.model.kind === 'danger' && check.notWith !== undefined
  return [
    ...inCircle(check, requires),
    ...(isKeptBack
      ? ([['looks for a danger and has notWith', 'Leave it out: a danger is always asked for']] satisfies Complaint[])
      : []),
  ]
}

/** What steps require, and what they do not go with, can all come true. */
export const stepsGoTogether: Rule = ({ check, remedy }: Ontology) => {
  const results = new Map(check.map((one) => [one.id, new Set(one.results.map(({ id }) => id))]))
  const requires = new Map(check.map((one) => [one.id, one.requires.map((answer) => answer.check)]))
  const complaints = (step: Check | Remedy) => [...unknownResults(step, results), ...atOdds(step)]
  return [
    ...check.map((one) => ({ id: one.id, found: [...complaints(one), ...ofCheck(one, requires)] })),
    ...remedy.map((one) => ({ id: one.id, found: complaints(one) })),
  ].flatMap(({ id, found }) => found.map(([message, remedy]) => ({ rule: 'steps-go-together', id, message, remedy })))
}
