import { type Context, type Draft, NOTHING, type Said } from './draft.ts'
import { familyOf } from './families.ts'
import { merge } from './merge.ts'
import { type Normalised, normalise } from './normalise.ts'
import { SAY_CODE } from './say-code.ts'
import { sayMeasures } from './say-measures.ts'
import { sayQuantity } from './say-quantity.ts'
import { scan } from './scan.ts'
import { settle } from './settle.ts'
import type { Placed, Token } from './tokens.ts'
import type { Question, ReadAttribute, ReadOptions, ReadText, Span } from './types.ts'

function sayingOf(token: Token, context: Context): Said {
  if (token.kind === 'quantity') return sayQuantity(token, context)
  if (token.kind === 'measures') return sayMeasures(token, context)
  if (token.kind === 'kind-of-part') return NOTHING
  return (SAY_CODE[token.kind] as (given: Token, at: Context) => Said)(token, context)
}

/** Words stay for the search by text; a lone multiplication sign or a letter is none. */
const isWord = (text: string): boolean => /[\p{L}\p{N}]/u.test(text)

class Reading {
  readonly attributes: ReadAttribute[] = []
  readonly questions: Question[] = []
  readonly residue: { text: string; start: number }[] = []
  #taken = 0
  readonly #given: string
  readonly #normalised: Normalised

  constructor(given: string, normalised: Normalised) {
    this.#given = given
    this.#normalised = normalised
  }

  #spanOf({ start, end }: Placed): Span {
    return { start: this.#normalised.starts[start]!, end: this.#normalised.ends[end - 1]! }
  }

  word(start: number, text: string): void {
    this.residue.push({ text, start })
  }

  take(placed: Placed, said: Said): void {
    const span = this.#spanOf(placed)
    const isFree = span.start >= this.#taken
    if (said.attributes.length === 0 || !isFree) {
      if (isFree) this.word(placed.start, this.#given.slice(span.start, span.end).trim())
      return
    }
    this.#taken = span.end
    this.attributes.push(...said.attributes.map((draft: Draft) => ({ ...draft, span })))
    this.questions.push(...(said.questions ?? []))
  }
}

/**
 * Attributes that the text of a part states, each with its place, its rule and how sure it is; what may mean two things
 * stays open and is asked, what no rule takes is left for a search by text.
 *
 * @param text - a title or a label, in any spelling; never refused
 * @param options - part class, which decides single letters, and the decimal mark, which decides 1,200
 * @returns attributes by the names of the part classes, questions, and the remaining words
 * @validity reads what a text says and judges no part; the time grows with the length of the text
 * @source iec-60062, iec-60086-1, iec-60127 marks and codes as their own readers say; the grammar of the rest is
 *   common practice, no source
 * @example readAttributes('12V 7Ah F1').attributes.map(({ name }) => name) // ['nominalVoltageV', 'capacityAh', 'terminal']
 */
export function readAttributes(text: string, { partClass, decimalMark }: ReadOptions = {}): ReadText {
  const normalised = normalise(text)
  const { tokens, words } = scan(normalised.text, decimalMark)
  const family = familyOf(tokens, partClass)
  const context = { family, tokens, isClassGiven: partClass !== undefined }
  const reading = new Reading(text, normalised)
  for (const placed of tokens) reading.take(placed, sayingOf(placed.token, context))
  for (const { text: word, start } of words) reading.word(start, word)
  const read = settle(merge(reading.attributes, reading.questions), family)
  const residue = reading.residue.sort((a, b) => a.start - b.start).map((word) => word.text)
  return { family, ...read, residue: residue.filter(isWord) }
}
