import { decodeLetters } from '../../circuits/letter-code.ts'
import { decodeDesignation } from '../designations/decode.ts'
import { designationsOf } from '../designations/names.ts'
import { readFuseCode } from '../fuse-code.ts'
import type { PatternRule, Rule, Token } from './tokens.ts'

const rule = (pattern: RegExp, make: (match: RegExpExecArray) => Token | undefined): PatternRule => ({
  pattern,
  read: (text, at) => {
    pattern.lastIndex = at
    const match = pattern.exec(text)
    const token = match && make(match)
    return token ? { token, end: at + match[0].length } : undefined
  },
})
const END = '(?![A-Za-z0-9])'

/** Letter codes of IEC 60062; a letter for the tolerance only behind a full code. */
const lettersRule = rule(
  /(\d{1,4}[RKMrk]\d{0,3}[BCDFGJKM]?|[Rr]\d{1,3}[BCDFGJKM]?)(?: ?\u03a9)?(?![A-Za-z0-9])(?!\.\d|-[A-Za-z0-9]{2})/y,
  ([, code]) => {
    const decoded = decodeLetters(code!)
    return decoded && { kind: 'letters', ...decoded, isMega: /M/.test(code!), code: code! }
  },
)

/** Fuse marks of IEC 60127: T1AH250V, F 500 mA L 250 V. */
const fuseRule: Rule = (text, at) => {
  const found = readFuseCode(text.slice(at, at + 40))
  if (!found) return undefined
  const { length, ...token } = found
  return { token: { kind: 'fuse', ...token }, end: at + length }
}

/** With a letter for the system or a count of cells: R47 alone is a resistance, unless the part is a cell. */
const DESIGNATION = /^(?:\d{0,2}[BCEFGHKLPSZ]R\d|\d{1,2}[RF]\d|2CR5$|CR-?P2$)/
const CELL = /(?:CR-?123A?|CR-?P2|[A-Za-z0-9]{2,10}(?:-\d)?)(?![A-Za-z0-9])/y
/** Names and designations of cells; those that end in A after a number may also be amperes. */
const cellRule: Rule = (text, at) => {
  CELL.lastIndex = at
  const written = CELL.exec(text)?.[0]
  if (written === undefined || /^9V$/i.test(written)) return undefined
  const name = /\d{3}/.test(written) ? written.toUpperCase() : written
  const designations = designationsOf(name)
  const isBareNumber = /^\d+$/.test(name)
  if (designations.length > 0 && !isBareNumber && !(name.length <= 4 && name !== name.toUpperCase())) {
    const isAlsoAmperes = /^\d{1,3}A$/.test(name)
    return { token: { kind: 'cell-name', name, designations, isAlsoAmperes }, end: at + name.length }
  }
  if (!DESIGNATION.test(name)) return undefined
  const decoded = decodeDesignation(name)
  if (decoded.kind !== 'decoded') return undefined
  const token: Token = { kind: 'cell-name', name, designations: [decoded.designation], isAlsoAmperes: false }
  return { token, end: at + name.length }
}

const PLAIN_SIZE = new RegExp(`(AAAA|AAA|AA|C|D|N)(?: size)? ?-?(?:cells?|size|batter(?:y|ies))${END}`, 'iy')

export const CODE_RULES: readonly PatternRule[] = [
  { pattern: /(?:FF|TT|F|M|T) ?\d/y, read: fuseRule },
  { pattern: CELL, read: cellRule },
  rule(PLAIN_SIZE, ([, name]) => ({
    kind: 'cell-name',
    name: name!.toUpperCase(),
    designations: designationsOf(name!),
    isAlsoAmperes: false,
  })),
  rule(new RegExp(`([12]\\/[23]) ?(AAA|AA)${END}`, 'y'), ([, share, size]) => ({
    kind: 'part-size',
    name: `${share}${size}`,
  })),
  rule(new RegExp(`((?:18|14|16|26|21)[3-7]\\d0)${END}`, 'y'), ([, name]) => ({ kind: 'part-size', name: name! })),
  lettersRule,
  rule(new RegExp(`(\\d{1,2})[/-](\\d{1,2})${END}(?![.,]\\d)`, 'y'), ([, gauge, count]) =>
    Number(gauge) >= 10 && Number(gauge) <= 28 && Number(count) > 0 && Number(count) <= 25
      ? { kind: 'gauge-pair', gauge: Number(gauge), count: Number(count) }
      : undefined,
  ),
  rule(/(\d{1,2})\/(0\.\d{1,2})(?: ?mm)?(?![A-Za-z0-9.])/y, ([, count, diameter]) => ({
    kind: 'strands',
    count: Number(count),
    diameterMm: Number(diameter),
  })),
  rule(new RegExp(`(\\d{1,2}) ?-? ?(?:cores?|conductors?|C)${END}`, 'y'), ([, count]) => ({
    kind: 'cores',
    count: Number(count),
  })),
  rule(
    new RegExp(`(\\d{1,2}) ?(?:core)? ?[xX] ?(\\d{1,2}(?:[.,]\\d{1,2})?) ?(?:mm ?\\^?2|sq ?mm)${END}`, 'y'),
    ([, count, area]) => ({ kind: 'cores-of-area', count: Number(count), areaMm2: Number(area!.replace(',', '.')) }),
  ),
  rule(new RegExp(`AWG ?(\\d{1,2})(?: ?[/-] ?(\\d{1,2}))?${END}`, 'iy'), ([, gauge, count]) =>
    count === undefined
      ? {
          kind: 'quantity',
          dimension: 'gauge',
          unit: '1',
          form: 'one',
          numbers: [{ value: Number(gauge), end: 0 }],
        }
      : { kind: 'gauge-pair', gauge: Number(gauge), count: Number(count) },
  ),
  rule(new RegExp(`(?:pack|box|bag|set|lot) of (\\d{1,4})${END}`, 'iy'), ([, count]) => pack(count!, 'stated')),
  rule(new RegExp(`(\\d{1,4}) ?-? ?(?:pack|pk|pcs|pieces|pce)${END}`, 'iy'), ([, count]) => pack(count!, 'stated')),
  rule(new RegExp(`(?:qty|quantity):? ?(\\d{1,4})${END}`, 'iy'), ([, count]) => pack(count!, 'stated')),
  rule(new RegExp(`x ?(\\d{1,4})${END}(?! ?[.,x]\\d)`, 'iy'), ([, count]) => pack(count!, 'behind')),
  rule(/(\d{1,3}) ?x (?=[A-Za-z0-9])|(\d{1,3})x(?=[A-Za-z])/iy, ([, a, b]) => pack(a ?? b!, 'before')),
  rule(new RegExp(`(FF|TT|F|T|M|L|H|E)${END}`, 'y'), ([, letter]) => ({ kind: 'letter', letter: letter! })),
]

function pack(count: string, side: 'behind' | 'before' | 'stated'): Token | undefined {
  return Number(count) > 0 ? { kind: 'pack', count: Number(count), side } : undefined
}
