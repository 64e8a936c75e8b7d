/**
 * Units by dimension. A value in a unit leads to the dimension's base unit by
 * base = (value + shift) * factor / divisor; two whole numbers keep decimal input exact (450 mA is 0.45 A, not near it).
 * Codes are those of UCUM (The Unified Code for Units of Measure, from memory); the other spellings are the usual ones.
 * dBm, a level against 1 mW, has no UCUM code: its usual spelling stands in.
 * Factors are exact by definition: SI prefixes, 1 in = 25.4 mm and 1 ft = 304.8 mm (international yard, 1959),
 * t/Cel = (t/degF - 32) * 5/9, t/Cel = T/K - 273.15 (SI brochure), all from memory.
 */
export const DIMENSIONS = [
  'voltage',
  'current',
  'charge',
  'resistance',
  'time',
  'temperature',
  'power',
  'apparent-power',
  'length',
  'area',
  'frequency',
  'level',
  'radio-level',
  'ratio',
] as const
export type Dimension = (typeof DIMENSIONS)[number]

export interface Unit {
  /** UCUM code. */
  code: string
  dimension: Dimension
  factor: number
  divisor: number
  shift: number
  spellings: readonly string[]
}

const unit = (
  dimension: Dimension,
  code: string,
  [factor, divisor]: [number, number],
  spellings: string[] = [],
  shift = 0,
): Unit => ({ code, dimension, factor, divisor, shift, spellings: [code, ...spellings] })

export const UNITS: readonly Unit[] = [
  unit('voltage', 'V', [1, 1], ['volt', 'volts']),
  unit('voltage', 'mV', [1, 1000]),
  unit('voltage', 'kV', [1000, 1]),
  unit('current', 'A', [1, 1], ['amp', 'amps', 'ampere']),
  unit('current', 'mA', [1, 1000]),
  unit('current', 'uA', [1, 1e6], ['\u00b5A', '\u03bcA']),
  unit('charge', 'A.h', [1, 1], ['Ah', 'A\u00b7h']),
  unit('charge', 'uA.h', [1, 1e6], ['uAh', '\u00b5Ah', '\u03bcAh']),
  unit('charge', 'mA.h', [1, 1000], ['mAh', 'mA\u00b7h']),
  unit('resistance', 'Ohm', [1, 1], ['ohm', 'ohms', '\u03a9', '\u2126']),
  unit('resistance', 'mOhm', [1, 1000], ['mohm', 'm\u03a9', 'm\u2126']),
  unit('resistance', 'kOhm', [1000, 1], ['kohm', 'k\u03a9', 'k\u2126']),
  unit('resistance', 'MOhm', [1e6, 1], ['Mohm', 'M\u03a9', 'M\u2126']),
  unit('time', 'h', [1, 1], ['hour', 'hours', 'hr']),
  unit('time', 'min', [1, 60], ['minute', 'minutes']),
  unit('time', 's', [1, 3600], ['sec', 'second', 'seconds']),
  unit('time', 'd', [24, 1], ['day', 'days']),
  unit('time', 'mo', [730.5, 1], ['month', 'months']),
  unit('time', 'a', [8766, 1], ['year', 'years']),
  unit('temperature', 'Cel', [1, 1], ['\u00b0C', 'degC']),
  unit('temperature', '[degF]', [5, 9], ['\u00b0F', 'degF'], -32),
  unit('temperature', 'K', [1, 1], [], -273.15),
  unit('power', 'W', [1, 1], ['watt', 'watts']),
  unit('power', 'mW', [1, 1000]),
  unit('apparent-power', 'V.A', [1, 1], ['VA', 'V\u00b7A']),
  unit('length', 'mm', [1, 1]),
  unit('length', 'cm', [10, 1]),
  unit('length', 'm', [1000, 1]),
  unit('length', '[in_i]', [254, 10], ['in', 'inch']),
  unit('length', '[ft_i]', [3048, 10], ['ft', 'foot', 'feet']),
  unit('area', 'mm2', [1, 1], ['mm\u00b2', 'sqmm']),
  unit('frequency', 'Hz', [1, 1]),
  unit('frequency', 'kHz', [1000, 1]),
  unit('frequency', 'MHz', [1e6, 1]),
  unit('level', 'dB', [1, 1], ['dBA', 'dB(A)']),
  unit('radio-level', 'dBm', [1, 1]),
  unit('ratio', '1', [1, 1]),
  unit('ratio', '%', [1, 100]),
]

const BY_SPELLING = new Map(UNITS.flatMap((entry) => entry.spellings.map((spelling) => [spelling, entry] as const)))

/** The unit of a spelling; undefined when it is not known. Case counts: mOhm and MOhm are not the same. */
export function findUnit(spelling: string): Unit | undefined {
  return BY_SPELLING.get(spelling.trim())
}
