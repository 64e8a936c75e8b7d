import { addTo } from './add-to.ts'
import { type Grammar, grammarOf } from './language.ts'
import { keyOf, type Lexicon, type LexiconEntry, type Phrase } from './lexicon.ts'
import { Spelling } from './spelling.ts'
import { stem } from './stem.ts'
import { NOT, type SameWords, sameWordsOf, termsOf } from './terms.ts'
import { tokenise } from './tokens.ts'

/** A phrase as it is compared. */
export interface PreparedPhrase {
  entry: number
  /** Its terms, each once, in order. */
  keys: readonly string[]
  /** How much the phrase says in all: the sum of its terms' weights. */
  mass: number
  weight: number
}

/** A lexicon made ready once for many texts. */
export interface PreparedLexicon {
  grammar: Grammar
  same: SameWords
  entries: readonly LexiconEntry[]
  phrases: readonly PreparedPhrase[]
  /** Phrases in which a term occurs. */
  phrasesWith: ReadonlyMap<string, readonly number[]>
  /** ln(1 + entries / entries with the term): what few entries say says more. */
  weightOf: ReadonlyMap<string, number>
  spelling: Spelling
  known: ReadonlySet<string>
  twoMeanings: readonly { word: string; said: readonly (readonly string[])[]; between: readonly [number, number] }[]
}

const inLanguage = (phraseLanguage: string, language: string) =>
  phraseLanguage.startsWith('en') || phraseLanguage.split('-')[0] === language.split('-')[0]

/** A word that a greater share of the entries has says nothing alone: "trouble". A reading has its number beside it. Judgement. */
const MOST_SHARED = 0.06

type CutPhrase = Omit<PreparedPhrase, 'mass'>

/** Every phrase of every entry; the same terms twice in one entry count once, by the greater weight. */
function phrasesOf({ entries, language }: Lexicon, keysOf: (phrase: Phrase) => string[]): CutPhrase[] {
  return entries.flatMap((own, entry) => {
    const byKeys = new Map<string, CutPhrase>()
    for (const phrase of own.phrases) {
      const keys = inLanguage(phrase.language, language) ? keysOf(phrase) : []
      if (!keys.some((key) => key !== NOT)) continue
      const known = byKeys.get(keys.join(' '))
      byKeys.set(keys.join(' '), { entry, keys, weight: Math.max(phrase.weight, known?.weight ?? 0) })
    }
    return [...byKeys.values()]
  })
}

function weightsOf(phrases: readonly CutPhrase[], entries: number): Map<string, number> {
  const among = new Map<string, Set<number>>()
  for (const { entry, keys } of phrases)
    for (const key of keys) among.set(key, (among.get(key) ?? new Set()).add(entry))
  return new Map([...among].map(([key, having]) => [key, Math.log(1 + entries / having.size)]))
}

/** Every word that the lexicon spells for certain, so that a slip of it is known. */
function vocabularyOf({ entries, same, language }: Lexicon, grammar: Grammar): string[] {
  const texts = entries.flatMap(({ phrases }) =>
    phrases.filter((phrase) => !phrase.isDoubtful && inLanguage(phrase.language, language)).map(({ text }) => text),
  )
  return [...texts, ...same.flat()]
    .flatMap((text) => tokenise(text, grammar))
    .filter(({ kind }) => kind === 'word')
    .map(({ surface }) => surface)
    .filter((surface) => !grammar.stop.has(surface))
}

/**
 * A lexicon made ready for `interpret`: phrases cut into terms, each term weighed by how few entries have it.
 *
 * weight of a term = ln(1 + entries / entries with the term)
 *
 * @param lexicon - entries with their phrases, words that mean the same, words of two meanings
 * @validity a word of two meanings counts when the lexicon has both of its entries
 * @source inverse document frequency, K. Sparck Jones 1972, from memory
 */
export function prepareLexicon(lexicon: Lexicon): PreparedLexicon {
  const grammar = grammarOf(lexicon.language)
  const same = sameWordsOf(lexicon.same, grammar)
  const vocabulary = vocabularyOf(lexicon, grammar)
  const speller = { spelling: new Spelling(vocabulary), known: new Set(vocabulary.map(stem)), counted: () => {} }
  const keysIn = (text: string, isDoubtful = false) => [
    ...new Set(termsOf(tokenise(text, grammar), grammar, same, isDoubtful ? speller : undefined).map(({ key }) => key)),
  ]
  const cut = phrasesOf(lexicon, ({ text, isDoubtful }) => keysIn(text, isDoubtful))
  const weightOf = weightsOf(cut, lexicon.entries.length)
  const { length } = lexicon.entries
  const leastAlone = Math.log(1 + length / Math.max(1, MOST_SHARED * length))
  const phrases = cut
    .map((phrase) => ({ ...phrase, mass: phrase.keys.reduce((sum, key) => sum + weightOf.get(key)!, 0) }))
    .filter(({ entry, keys, mass }) => {
      const isReading = lexicon.entries[entry]!.kind === 'reading'
      return isReading || keys.length > 1 || mass >= leastAlone
    })
  const phrasesWith = new Map<string, number[]>()
  phrases.forEach(({ keys }, at) => {
    for (const key of keys) addTo(phrasesWith, key, at)
  })
  const positions = new Map(lexicon.entries.map((entry, at) => [keyOf(entry), at]))
  return {
    grammar,
    same,
    entries: lexicon.entries,
    phrases,
    phrasesWith,
    weightOf,
    spelling: speller.spelling,
    known: speller.known,
    twoMeanings: lexicon.twoMeanings.flatMap(({ word, said, between }) => {
      const [first, second] = between.map((key) => positions.get(key))
      if (first === undefined || second === undefined) return []
      return [{ word, said: said.map((text) => keysIn(text)), between: [first, second] as const }]
    }),
  }
}
