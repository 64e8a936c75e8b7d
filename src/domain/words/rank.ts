import { type Match, saturated } from './match.ts'
import type { PreparedLexicon } from './prepare.ts'
import type { Term } from './terms.ts'

/** What a text says of one entry. */
export interface Found {
  entry: number
  /** 0 to 1. */
  score: number
  isDenied: boolean
  /** Positions of the terms that say so, ascending. */
  at: readonly number[]
}

/** Share of a score that comes from the best phrase; the rest from all the words that any of its phrases found. Judgement, tried on the tuned half of the utterances. */
const BEST_SHARE = 0.8
/** What is left of a score when others already explain all of its words. Judgement. */
const EXPLAINED_SHARE = 0.45

/** What is left of the score of a last resort when another finding stands. Judgement. */
const LAST_RESORT_SHARE = 0.4

const weightAt = (at: Iterable<number>, terms: readonly Term[], { weightOf }: PreparedLexicon) => {
  let sum = 0
  for (const position of at) sum += (weightOf.get(terms[position]!.key) ?? 0) * terms[position]!.quality
  return sum
}

/**
 * One finding an entry: its best phrase, with some more for other words of it that are there. What is both said and denied
 * counts as what is said more clearly.
 */
export function foundOf(
  matches: readonly (Match & { isDenied: boolean })[],
  terms: readonly Term[],
  lexicon: PreparedLexicon,
): Found[] {
  const byEntry = Map.groupBy(matches, ({ entry }) => entry)
  return [...byEntry].map(([entry, own]) => {
    const best = own.reduce((a, b) => (b.score > a.score ? b : a))
    const alike = own.filter(({ isDenied }) => isDenied === best.isDenied)
    const at = [...new Set(alike.flatMap((match) => [...match.at]))].sort((a, b) => a - b)
    const score = BEST_SHARE * best.score + (1 - BEST_SHARE) * saturated(weightAt(at, terms, lexicon))
    return { entry, score, isDenied: best.isDenied, at }
  })
}

/**
 * Findings in the order of their scores, each weighed down by how much of its words those before it explain: "battery"
 * in "the keypad's battery is low" speaks for the keypad's alone, while a second trouble with words of its own keeps its place.
 *
 * score = score * (0.45 + 0.55 * weight of words not explained / weight of its words)
 */
export function explainAway(found: readonly Found[], terms: readonly Term[], lexicon: PreparedLexicon): Found[] {
  const explained = new Set<number>()
  const byScore = (a: Found, b: Found) => b.score - a.score || a.entry - b.entry
  return [...found]
    .sort(byScore)
    .map((one) => {
      const own = weightAt(one.at, terms, lexicon)
      const left = weightAt(
        one.at.filter((position) => !explained.has(position)),
        terms,
        lexicon,
      )
      for (const position of one.at) explained.add(position)
      return { ...one, score: one.score * (EXPLAINED_SHARE + (1 - EXPLAINED_SHARE) * (own === 0 ? 0 : left / own)) }
    })
    .sort(byScore)
}

/** The last resorts weighed down where anything else of their kind is found. */
export function lastResortsLast(found: readonly Found[], { entries }: PreparedLexicon): Found[] {
  const standing = new Set(
    found
      .filter(({ entry, isDenied }) => !isDenied && !entries[entry]!.isLastResort)
      .map(({ entry }) => entries[entry]!.kind),
  )
  return found.map((one) => {
    const { isLastResort, kind } = entries[one.entry]!
    return isLastResort && !one.isDenied && standing.has(kind) ? { ...one, score: one.score * LAST_RESORT_SHARE } : one
  })
}
