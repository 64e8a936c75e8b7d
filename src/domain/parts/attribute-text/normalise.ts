/** A text in one spelling, with the place of each of its characters in the text given. */
export interface Normalised {
  text: string
  /** Start in the given text of each character; one more entry for the end. */
  starts: readonly number[]
  ends: readonly number[]
}

/** Characters that Unicode's compatibility form leaves apart although they mean the same in a title. */
const FOLDED: Record<string, string> = {
  '\u00d7': 'x',
  '\u2715': 'x',
  '\u03bc': 'u',
  '\u2044': '/',
  '\u2215': '/',
  '\u2010': '-',
  '\u2011': '-',
  '\u2012': '-',
  '\u2013': '-',
  '\u2014': '-',
  '\u2212': '-',
  '\u2018': "'",
  '\u2019': "'",
  '\u2032': "'",
  '\u201c': '"',
  '\u201d': '"',
  '\u2033': '"',
  '\u200b': '',
  '\u00ad': '',
  '\ufeff': '',
  '\u23d3': '=',
}

const BLANK = /\s/
const folded = (character: string): string =>
  FOLDED[character] ?? [...character.normalize('NFKC')].map((part) => FOLDED[part] ?? part).join('')

/**
 * A text in compatibility form (NFKC, character by character) with one spelling of dashes, quotes, the times sign and
 * micro, and single blanks; case is kept.
 *
 * @source unicode-uax15 compatibility composition, through the platform
 * @example normalise('94\u00d765').text // '94x65'
 */
export function normalise(given: string): Normalised {
  const starts: number[] = []
  const ends: number[] = []
  const out: string[] = []
  let at = 0
  for (const character of given) {
    for (const part of folded(character).split('')) {
      const unit = BLANK.test(part) ? ' ' : part
      if (unit === ' ' && out.at(-1) === ' ') continue
      out.push(unit)
      starts.push(at)
      ends.push(at + character.length)
    }
    at += character.length
  }
  starts.push(given.length)
  return { text: out.join(''), starts, ends }
}
