import { toUnit } from '../quantities/convert.ts'
import { findUnit } from '../quantities/units.ts'
import type { LexiconEntry } from './lexicon.ts'
import type { Token } from './tokens.ts'

/** A number of a text that may be a measurement. */
export interface MeasuredNumber {
  value: number
  /** UCUM code; left out where no unit was said. */
  unit?: string
  /** Positions of its tokens. */
  tokens: readonly number[]
  sentence: number
}

/** Units as they are spoken or carelessly written, beside the spellings of the table of units. */
const SPOKEN: Readonly<Record<string, string>> = {
  v: 'V',
  vdc: 'V',
  vac: 'V',
  mv: 'mV',
  millivolt: 'mV',
  millivolts: 'mV',
  k: 'kOhm',
  kilohm: 'kOhm',
  kilohms: 'kOhm',
  meg: 'MOhm',
  megohm: 'MOhm',
  megohms: 'MOhm',
  ma: 'mA',
  milliamp: 'mA',
  milliamps: 'mA',
  db: 'dB',
  decibel: 'dB',
  decibels: 'dB',
  dbm: 'dBm',
  percent: '%',
  celsius: 'Cel',
  fahrenheit: '[degF]',
}
/** Without a unit a number is a measurement only where one of these is said. */
const MEASURING = new Set(
  'measure measures measured measuring meter multimeter voltmeter ohmmeter reads read reading voltage volts ohms'.split(
    ' ',
  ),
)
/** A number after one of these is a name or a count. */
const NAMING = new Set(
  'zone zones sensor sensors keypad number no code error line point partition area device module user expander at'.split(
    ' ',
  ),
)

/** No meter shows more; the product with any factor of a unit stays finite. */
const LARGEST = 1e12

/** One separator before exactly three figures is one of thousands when it is a comma; otherwise it is the decimal one. */
function numberOf(written: string): number {
  if (/^-?\d{1,3}(?:,\d{3})+$/.test(written)) return Number(written.replaceAll(',', ''))
  return Number(written.replace(',', '.'))
}

const unitOf = (word: Token | undefined): string | undefined =>
  word && (findUnit(word.written)?.code ?? SPOKEN[word.surface] ?? findUnit(word.surface)?.code)

/**
 * The numbers of a text that may be measurements: those with a unit, and those that are said to be read from a meter.
 *
 * @validity "a" and "in" are units of the table and ordinary words of a sentence: after a number they count as words
 * @example measuredNumbers(tokenise('battery reads 11.4', grammarOf('en')))[0].value // 11.4
 */
export function measuredNumbers(tokens: readonly Token[]): MeasuredNumber[] {
  const measuring = new Set(tokens.filter(({ surface }) => MEASURING.has(surface)).map(({ sentence }) => sentence))
  return tokens.flatMap((token, at): MeasuredNumber[] => {
    const value = token.kind === 'number' ? numberOf(token.surface) : Number.NaN
    if (!(Math.abs(value) <= LARGEST)) return []
    const next = tokens[at + 1]
    const isWord =
      next === undefined || next.surface === 'a' || next.surface === 'in' || next.sentence !== token.sentence
    const unit = isWord ? undefined : unitOf(next)
    const { sentence } = token
    if (unit !== undefined) return [{ value, unit, tokens: [at, at + 1], sentence }]
    const before = tokens[at - 1]?.surface ?? ''
    return measuring.has(sentence) && !NAMING.has(before) ? [{ value, tokens: [at], sentence }] : []
  })
}

/** The number in the unit that it was said in, where it can be a value of the reading; the reading's own unit when none was said. */
export function asReading(
  { value, unit }: MeasuredNumber,
  measured: NonNullable<LexiconEntry['measured']>,
): { value: number; unit: string } | undefined {
  const said = unit ?? measured.unit
  if (findUnit(said)?.dimension !== findUnit(measured.unit)?.dimension) return undefined
  const inOwnUnit = toUnit({ value, unit: said }, measured.unit)
  return inOwnUnit >= measured.low && inOwnUnit <= measured.high ? { value, unit: said } : undefined
}
