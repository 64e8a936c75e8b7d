import type { PreparedLexicon } from './prepare.ts'
import type { Found } from './rank.ts'
import type { Term } from './terms.ts'

/** Score of both meanings while nothing settles which is meant. */
const OPEN_SCORE = 0.4

export interface OpenWord {
  word: string
  between: readonly [number, number]
  at: readonly number[]
}

/** Where a phrase stands word for word in the terms. */
function placesOf(keys: readonly string[], terms: readonly Term[]): number[][] {
  return terms.flatMap((term, start) => {
    const isHere = keys.every((key, offset) => {
      const at = terms[start + offset]
      return at?.key === key && at.sentence === term.sentence
    })
    return isHere ? [keys.map((_, offset) => start + offset)] : []
  })
}

/** Whether something found needs the word and others beside it: those settle what it means. */
const isSettledBy = ({ at }: Found, place: readonly number[]) =>
  at.length > place.length && place.every((position) => at.includes(position))

/** Words of two meanings that nothing in the text settles, each once. */
export function openWords(terms: readonly Term[], found: readonly Found[], lexicon: PreparedLexicon): OpenWord[] {
  return lexicon.twoMeanings.flatMap(({ word, said, between }) => {
    const places = said.flatMap((keys) => placesOf(keys, terms)).sort((a, b) => b.length - a.length)
    const open = places.find((place) => !found.some((one) => isSettledBy(one, place)))
    return open === undefined ? [] : [{ word, between, at: open }]
  })
}

/** What was found, with both meanings of every open word among it. */
export function withBothMeanings(found: readonly Found[], open: readonly OpenWord[]): Found[] {
  const byEntry = new Map(found.map((one) => [one.entry, one]))
  for (const { between, at } of open)
    for (const entry of between) {
      const known = byEntry.get(entry)
      if (known && known.score >= OPEN_SCORE) continue
      byEntry.set(entry, { entry, score: OPEN_SCORE, isDenied: false, at: known?.at ?? at })
    }
  return [...byEntry.values()]
}
