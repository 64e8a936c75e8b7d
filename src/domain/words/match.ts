import type { PreparedLexicon, PreparedPhrase } from './prepare.ts'
import { NOT, type Term } from './terms.ts'

// What a phrase is worth: judgement, tried on the tuned half of the utterances.
/** Words that may stand between those of a phrase. */
const SLACK = 3
/** Share of a phrase's weight that must be there. */
const LEAST_COVERED = 0.6
/** Weight at which a phrase counts half: about one rare word. */
const HALF_MASS = 3
const OUT_OF_ORDER = 0.95
const PER_GAP = 0.04
const OTHER_CLAUSE = 0.8

/** A phrase found in a text. */
export interface Match {
  entry: number
  /** 0 to 1. */
  score: number
  /** Weight of what was found. */
  mass: number
  /** Nothing of the phrase is missing. */
  isWhole: boolean
  /** Positions of its terms, ascending. */
  at: readonly number[]
}

export const saturated = (mass: number) => mass / (mass + HALF_MASS)

interface Window {
  covered: number
  at: number[]
  isInOrder: boolean
}

/** What of a phrase stands in the terms from a start on, each of its terms once. */
function windowAt(
  terms: readonly Term[],
  start: number,
  { keys }: PreparedPhrase,
  { weightOf }: PreparedLexicon,
): Window {
  const open = new Set(keys)
  const window: Window = { covered: 0, at: [], isInOrder: true }
  let latest = -1
  const end = Math.min(terms.length, start + keys.length + SLACK)
  for (let at = start; at < end && terms[at]!.sentence === terms[start]!.sentence; at++) {
    const { key, quality } = terms[at]!
    if (!open.delete(key)) continue
    const place = keys.indexOf(key)
    window.isInOrder &&= place > latest
    latest = place
    window.covered += weightOf.get(key)! * quality
    window.at.push(at)
  }
  return window
}

/** Whether enough of a phrase is there: its "not" always and in its place, and of several words at least two. */
function isEnough({ keys, mass }: PreparedPhrase, { covered, at, isInOrder }: Window, terms: readonly Term[]): boolean {
  const found = new Set(at.map((position) => terms[position]!.key))
  const words = keys.filter((key) => key !== NOT)
  const foundWords = words.filter((key) => found.has(key)).length
  if (keys.includes(NOT) && !(found.has(NOT) && isInOrder)) return false
  return covered / mass >= LEAST_COVERED && foundWords >= Math.min(2, words.length)
}

function scored(phrase: PreparedPhrase, { covered, at, isInOrder }: Window, terms: readonly Term[]): Match {
  const gaps = at.at(-1)! - at[0]! + 1 - at.length
  const clauses = new Set(at.map((position) => terms[position]!.clause)).size
  const closeness = (1 - PER_GAP * gaps) * (isInOrder ? 1 : OUT_OF_ORDER) * OTHER_CLAUSE ** (clauses - 1)
  const score = phrase.weight * (covered / phrase.mass) ** 2 * closeness * saturated(covered)
  return { entry: phrase.entry, score, mass: covered, isWhole: at.length === phrase.keys.length, at }
}

/**
 * Every place where enough of a phrase stands in the terms.
 *
 * score = phrase's weight * (weight found / weight of the phrase)^2 * closeness * found / (found + 3)
 *
 * @param counted - told how many terms were looked at
 * @source judgement; the weights are those of `prepareLexicon`
 */
export function matchesIn(terms: readonly Term[], lexicon: PreparedLexicon, counted: (looks: number) => void): Match[] {
  return terms.flatMap(({ key }, start) =>
    (lexicon.phrasesWith.get(key) ?? []).flatMap((at) => {
      const phrase = lexicon.phrases[at]!
      counted(Math.min(terms.length - start, phrase.keys.length + SLACK))
      const window = windowAt(terms, start, phrase, lexicon)
      return isEnough(phrase, window, terms) ? [scored(phrase, window, terms)] : []
    }),
  )
}
