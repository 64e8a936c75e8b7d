import type { Grammar } from './language.ts'

/** One word of a text. */
export interface Token {
  /** Lower case, without accents and with contractions taken apart. */
  surface: string
  /** As it stands in the text. */
  written: string
  kind: 'word' | 'number'
  /** Sentences are never looked across; the reach of a negation ends with its clause. */
  sentence: number
  clause: number
}

const PIECES =
  /\[[a-z-]{4,8}\]|(?:[\p{L}\p{M}]+(?:['\u2019][\p{L}\p{M}]+)*)|-?\d+(?:[.,]\d+)*|%|\u00b0\s?[CFcf]\b|[.!?;\n]+|[,:()\u2013\u2014]+/gu
const IS_PLACEHOLDER = /^\[/
const ENDS_SENTENCE = /^[.!?;\n]/
const ENDS_CLAUSE = /^[,:()\u2013\u2014]/
const IS_NUMBER = /^-?\d/
const NEGATED_VERB = /^(ca|wo|is|are|was|were|do|does|did|has|have|had|could|would|should|must|need|ai)n'?t$/
const CONTRACTED = /'(?:s|m|re|ve|ll|d)$/

/** Lower case without accents; letters of other scripts stay as they are. */
export const plain = (text: string): string =>
  text.toLowerCase().replaceAll('\u2019', "'").normalize('NFD').replace(/\p{M}/gu, '')

function surfacesOf(word: string): string[] {
  if (word === "can't" || word === 'cannot' || word === 'cant') return ['can', 'not']
  if (word === "won't" || word === 'wont') return ['will', 'not']
  const verb = NEGATED_VERB.exec(word)?.[1]
  if (verb !== undefined) return [verb, 'not']
  return word.replace(CONTRACTED, '').split("'").filter(Boolean)
}

/**
 * The words of a text in order, each with the sentence and the clause that it stands in. What stands in brackets for
 * something redacted is no word.
 *
 * @param text - any text
 * @example tokenise("It won't arm.", grammarOf('en')).map(({ surface }) => surface) // ['it', 'will', 'not', 'arm']
 */
export function tokenise(text: string, { breakers }: Pick<Grammar, 'breakers'>): Token[] {
  const tokens: Token[] = []
  let [sentence, clause] = [0, 0]
  for (const [written] of text.matchAll(PIECES)) {
    if (IS_PLACEHOLDER.test(written)) continue
    if (ENDS_SENTENCE.test(written)) [sentence, clause] = [sentence + 1, clause + 1]
    else if (ENDS_CLAUSE.test(written)) clause += 1
    else if (IS_NUMBER.test(written)) tokens.push({ surface: written, written, kind: 'number', sentence, clause })
    else {
      const word = plain(written)
      if (breakers.has(word)) clause += 1
      for (const surface of surfacesOf(word)) tokens.push({ surface, written, kind: 'word', sentence, clause })
    }
  }
  return tokens
}
