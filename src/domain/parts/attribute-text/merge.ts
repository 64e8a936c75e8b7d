import type { Question, ReadAttribute, ReadValue } from './types.ts'

/** What an attribute says, in a form that compares. */
const saying = ({ value, range, list }: ReadAttribute): string => JSON.stringify([value, range, list])

const STRENGTH = { stated: 2, derived: 1, ambiguous: 0 } as const
export interface Merged {
  attributes: ReadAttribute[]
  questions: Question[]
}

const valuesOf = (attributes: readonly ReadAttribute[]): ReadValue[] => [
  ...new Set(attributes.flatMap(({ value }) => (value === undefined ? [] : [value]))),
]

/** One attribute from all that the text says of it: what is stated settles what was open, two statements stay open. */
function mergeOne(name: string, found: readonly ReadAttribute[]): { kept: ReadAttribute; question?: Question } {
  const best = found.reduce((a, b) => (STRENGTH[b.certainty] > STRENGTH[a.certainty] ? b : a))
  const rivals = found.filter((one) => one.certainty !== 'ambiguous' && saying(one) !== saying(best))
  if (best.certainty === 'ambiguous' || rivals.length === 0) return { kept: best }
  const candidates = valuesOf([best, ...rivals])
  const isMeasure = best.rule === 'system-letter' || rivals.some(({ rule }) => rule === 'system-letter')
  return {
    kept: { ...best, certainty: 'ambiguous', candidates },
    question: {
      attribute: name,
      kind: isMeasure ? 'hazard' : 'ambiguous',
      reason: 'the text says it twice, and not alike',
      candidates,
    },
  }
}

/** Each attribute once; questions that a statement elsewhere in the text answers are dropped, those about wiring names stay. */
export function merge(all: readonly ReadAttribute[], asked: readonly Question[]): Merged {
  const byName = Map.groupBy(all, ({ name }) => name)
  const merged = [...byName].map(([name, found]) => mergeOne(name, found))
  const settled = new Set(merged.flatMap(({ kept }) => (kept.certainty === 'ambiguous' ? [] : [kept.name])))
  const isOpen = ({ attribute }: Question) => !settled.has(attribute) || attribute === 'connector'
  return {
    attributes: merged.map(({ kept }) => kept),
    questions: [...asked.filter(isOpen), ...merged.flatMap(({ question }) => question ?? [])],
  }
}
