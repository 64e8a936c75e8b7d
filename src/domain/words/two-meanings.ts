import { addTo } from './add-to.ts'
import type { Match } from './match.ts'
import { isDenied } from './negation.ts'
import type { PreparedLexicon } from './prepare.ts'
import type { Found } from './rank.ts'
import type { Term } from './terms.ts'

/** Score of both meanings while nothing settles which is meant. Judgement. */
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

/**
 * Words of two meanings that nothing in the text settles or denies, each once. A match settles a word when it needs it and others
 * beside it: "no AC" leaves no doubt of "AC".
 */
export function openWords(terms: readonly Term[], matches: readonly Match[], lexicon: PreparedLexicon): OpenWord[] {
  const matchesAt = new Map<number, Match[]>()
  for (const match of matches) for (const position of match.at) addTo(matchesAt, position, match)
  const isSettled = (place: readonly number[]) =>
    (matchesAt.get(place[0]!) ?? []).some(
      ({ at }) => at.length > place.length && place.every((position) => at.includes(position)),
    )
  return lexicon.twoMeanings.flatMap(({ word, said, between }) => {
    const places = said.flatMap((keys) => placesOf(keys, terms)).sort((a, b) => b.length - a.length)
    const open = places.find((at) => !isSettled(at) && !isDenied({ at }, terms, lexicon.grammar))
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
