/** What the words of a caller are compared with; plain data, made by whoever knows the ontology. */
export interface Phrase {
  text: string
  /** How much it says, above 0 and at most 1: a name more than a word of its definition. */
  weight: number
  /** BCP 47 tag. */
  language: string
  /** Its words may be misspelt: none of them counts as a spelling, and each is read as the word it is nearest to. */
  isDoubtful?: boolean
}

export type EntryKind = 'condition' | 'check-result' | 'context' | 'danger' | 'reading'

/** Something that a text may speak of. */
export interface LexiconEntry {
  /** Id of the condition, check, context or reading. */
  id: string
  kind: EntryKind
  /** Result of the check, where it is one. */
  result?: string
  phrases: readonly Phrase[]
  /** It is only meant when nothing else is: "it just beeps". */
  isLastResort?: boolean
  /** For a reading: its unit and what is possible at all. */
  measured?: { unit: string; low: number; high: number }
}

/** A word of two everyday meanings. */
export interface TwoMeanings {
  /** The word as the question names it. */
  word: string
  /** Phrases in which it leaves the meaning open. */
  said: readonly string[]
  /** Keys of the two entries. */
  between: readonly [string, string]
}

export interface Lexicon {
  /** Language of the text; phrases of other languages than this and English are left out. */
  language: string
  entries: readonly LexiconEntry[]
  /** Words and phrases that mean the same; the first stands for all. */
  same: readonly (readonly string[])[]
  twoMeanings: readonly TwoMeanings[]
}

/** How an entry is named: its id, with the result of a check after "=". */
export const keyOf = ({ id, result }: Pick<LexiconEntry, 'id' | 'result'>): string =>
  result === undefined ? id : `${id}=${result}`
