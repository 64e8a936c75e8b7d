import { COMMON_WORDS } from './common-words.ts'
import type { Grammar } from './language.ts'
import type { Spelling } from './spelling.ts'
import { stem } from './stem.ts'
import { type Token, tokenise } from './tokens.ts'

/** What stands for every word that negates. */
export const NOT = 'not'

/** One unit of meaning: a word or a fixed group of words, by what it has in common with others that mean the same. */
export interface Term {
  key: string
  /** Positions of its tokens in the text. */
  tokens: readonly number[]
  sentence: number
  clause: number
  /** 1 for a word as it is spelt; less for one that was corrected. */
  quality: number
}

/** Rows of words that mean the same, by the first stem of each alternative; longest first. */
export type SameWords = ReadonlyMap<string, readonly { stems: readonly string[]; key: string }[]>

interface Stemmed {
  key: string
  quality: number
  isStop: boolean
}

/** Quality of a word by the number of its slips. */
const QUALITY_OF_EDITS = [1, 0.85, 0.7]
/** Words of no meaning that may stand inside a fixed group: "turn it off". */
const MOST_BETWEEN = 2
/** Quality of a word that names only who says it. Judgement. */
const SPEAKER_QUALITY = 0.5

function plainStem(surface: string, { stop, negators }: Grammar): Stemmed {
  if (negators.has(surface)) return { key: NOT, quality: 1, isStop: false }
  return { key: stem(surface), quality: 1, isStop: stop.has(surface) }
}

export function sameWordsOf(rows: readonly (readonly string[])[], grammar: Grammar): SameWords {
  const byFirst = new Map<string, { stems: string[]; key: string }[]>()
  for (const row of rows)
    for (const alternative of row) {
      const stems = tokenise(alternative, { breakers: new Set() }).map(({ surface }) => plainStem(surface, grammar).key)
      const first = stems[0]
      if (first !== undefined) byFirst.set(first, [...(byFirst.get(first) ?? []), { stems, key: stem(row[0]!) }])
    }
  for (const list of byFirst.values()) list.sort((a, b) => b.stems.length - a.stems.length)
  return byFirst
}

/** Positions of a fixed group that begins here, or nothing. */
function groupAt(words: readonly (Stemmed & Token)[], start: number, stems: readonly string[]): number[] | undefined {
  const found = [start]
  for (let at = start + 1; found.length < stems.length; at++) {
    const word = words[at]
    if (!word || word.sentence !== words[start]!.sentence) return undefined
    if (word.key === stems[found.length]) found.push(at)
    else if (!word.isStop || at - found.at(-1)! > MOST_BETWEEN) return undefined
  }
  return found
}

function spelt(token: Token, grammar: Grammar, speller: Speller | undefined): Stemmed {
  const own =
    token.kind === 'number' ? { key: token.surface, quality: 1, isStop: false } : plainStem(token.surface, grammar)
  if (!speller || token.kind === 'number' || own.isStop || own.key === NOT || speller.known.has(own.key)) return own
  if (COMMON_WORDS.has(token.surface) || COMMON_WORDS.has(own.key)) return own
  const nearest = speller.spelling.nearest(token.surface, speller.counted)
  if (!nearest) return own
  return { ...plainStem(nearest.word, grammar), quality: QUALITY_OF_EDITS[nearest.edits] ?? 0 }
}

const speaking = (key: string, next: Token | undefined, { speakers, saying }: Grammar) =>
  speakers.has(key) && next !== undefined && saying.has(next.surface) ? SPEAKER_QUALITY : 1

export interface Speller {
  spelling: Spelling
  /** Stems that need no correction. */
  known: ReadonlySet<string>
  counted: (comparisons: number) => void
}

/** The terms of a row of tokens; words of no meaning are left out. Slips are forgiven where a speller is given. */
export function termsOf(tokens: readonly Token[], grammar: Grammar, same: SameWords, speller?: Speller): Term[] {
  const words = tokens.map((token) => ({ ...token, ...spelt(token, grammar, speller) }))
  const taken = new Set<number>()
  const terms: Term[] = []
  words.forEach((word, at) => {
    if (taken.has(at)) return
    const { sentence, clause } = word
    for (const { stems, key } of same.get(word.key) ?? []) {
      const group = groupAt(words, at, stems)
      if (!group || group.some((position) => taken.has(position))) continue
      for (const position of group) taken.add(position)
      const spelling = Math.min(...group.map((position) => words[position]!.quality))
      const quality = spelling * speaking(key, words[group.at(-1)! + 1], grammar)
      terms.push({ key, tokens: group, sentence, clause, quality })
      return
    }
    const quality = word.quality * speaking(word.key, words[at + 1], grammar)
    if (!word.isStop) terms.push({ key: word.key, tokens: [at], sentence, clause, quality })
  })
  return terms
}
