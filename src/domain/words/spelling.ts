import { addTo } from './add-to.ts'
import { editDistance } from './edit-distance.ts'

const SHORTEST = 4
const LONGEST = 24
const SHORT_WORD = 8

/** Edits forgiven in a word of so many letters; the same as the search over the ontology forgives. */
const allowedEdits = (word: string) =>
  word.length < SHORTEST || word.length > LONGEST || !/^\p{L}+$/u.test(word) ? 0 : word.length < SHORT_WORD ? 1 : 2

/** The word and every form of it with up to so many letters left out. */
function shortened(word: string, edits: number): Set<string> {
  const forms = new Set([word])
  let latest = [word]
  for (let edit = 0; edit < edits; edit++) {
    latest = latest.flatMap((form) => [...form].map((_, at) => form.slice(0, at) + form.slice(at + 1)))
    for (const form of latest) forms.add(form)
  }
  return forms
}

export interface Correction {
  word: string
  edits: number
}

/**
 * The words of a vocabulary by their shortened forms: two words within n edits share a form with at most n letters left out
 * of each, so that only likely words are ever compared.
 *
 * @validity words of 4 to 24 letters; one edit below 8 letters, two from there on; numbers and codes are never corrected
 * @source symmetric deletion, W. Garbe, from memory
 */
export class Spelling {
  readonly #byForm = new Map<string, string[]>()

  constructor(vocabulary: Iterable<string>) {
    for (const word of [...new Set(vocabulary)].sort())
      for (const form of shortened(word, allowedEdits(word))) addTo(this.#byForm, form, word)
  }

  /**
   * The nearest word of the vocabulary: fewest edits, then the same first letter, then the order of letters.
   * @param counted - told how many words were compared
   */
  nearest(word: string, counted: (comparisons: number) => void): Correction | undefined {
    const most = allowedEdits(word)
    if (most === 0) return undefined
    const candidates = new Set<string>()
    for (const form of shortened(word, most)) for (const known of this.#byForm.get(form) ?? []) candidates.add(known)
    counted(candidates.size)
    const ranked = [...candidates]
      .filter((known) => known.length >= SHORTEST)
      .map((known) => ({ word: known, edits: editDistance(word, known, Math.min(most, allowedEdits(known))) }))
      .filter(({ word: known, edits }) => edits <= Math.min(most, allowedEdits(known)))
      .sort((a, b) => rank(word, a) - rank(word, b) || (a.word < b.word ? -1 : 1))
    return ranked[0]
  }
}

const rank = (word: string, { word: known, edits }: Correction) => edits + (known[0] === word[0] ? 0 : 0.5)
