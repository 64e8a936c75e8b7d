/** A number of a text; `other` is what it means where the separator is read the other way. */
export interface NumberRead {
  value: number
  other?: number
  end: number
}

/** Longest run of figures that is taken for a number. */
const LITERAL = /\d{1,12}(?:[.,]\d{1,12}){0,3}(?![.,]?\d)|\.\d{1,6}(?!\d)/y
const FRACTION = /(\d{1,2})\/(\d{1,2})(?!\d|[.,]\d)/y

function oneSeparator(whole: string, mark: string, rest: string, decimalMark: string | undefined) {
  const decimal = Number(`${whole}.${rest}`)
  const isOpen = rest.length === 3 && /^[1-9]\d{0,2}$/.test(whole)
  if (!isOpen) return { value: decimal }
  const plain = Number(whole + rest)
  if (decimalMark !== undefined) return { value: decimalMark === mark ? decimal : plain }
  return mark === '.' ? { value: decimal, other: plain } : { value: plain, other: decimal }
}

/** Thousands in groups of three, with a decimal part after another mark; undefined for anything else. */
function grouped(literal: string): number | undefined {
  const [, whole, , decimals] = /^(\d{1,3}(?:([.,])\d{3})(?:\2\d{3})*)(?:(?!\2)[.,](\d+))?$/.exec(literal) ?? []
  return whole === undefined ? undefined : Number(`${whole.replace(/[.,]/g, '')}.${decimals ?? '0'}`)
}

/**
 * The number that begins at a place; one separator with exactly three figures behind it stays open, unless the caller
 * has said which mark is the decimal one.
 *
 * @source common practice of decimal and thousands marks, no source
 * @example numberAt('2.200 ohm', 0) // { value: 2.2, other: 2200, end: 5 }
 */
export function numberAt(text: string, at: number, decimalMark?: '.' | ','): NumberRead | undefined {
  LITERAL.lastIndex = at
  const literal = LITERAL.exec(text)?.[0]
  if (literal === undefined) return undefined
  const end = at + literal.length
  const parts = literal.split(/[.,]/)
  if (parts.length === 1) return { value: Number(literal), end }
  if (parts.length === 2)
    return { ...oneSeparator(parts[0] || '0', literal[parts[0]!.length]!, parts[1]!, decimalMark), end }
  const value = grouped(literal)
  return value === undefined ? undefined : { value, end }
}

/** A fraction such as 1/4 that begins at a place. */
export function fractionAt(text: string, at: number): NumberRead | undefined {
  FRACTION.lastIndex = at
  const found = FRACTION.exec(text)
  if (!found || Number(found[2]) === 0 || Number(found[1]) >= Number(found[2])) return undefined
  return { value: Number(found[1]) / Number(found[2]), end: at + found[0].length }
}
