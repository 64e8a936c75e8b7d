/**
 * Units by dimension. `factor` and `offset` lead to the dimension's base unit: base = value * factor + offset.
 * Codes are those of UCUM (The Unified Code for Units of Measure, from memory); the other spellings are the usual ones.
 * Factors are exact by definition (SI prefixes; 1 in = 25.4 mm, 1 ft = 0.3048 m; degF = (Cel * 9/5) + 32).
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
  'ratio',
] as const
export type Dimension = (typeof DIMENSIONS)[number]

export interface Unit {
  /** UCUM code. */
  code: string
  dimension: Dimension
  factor: number
  offset: number
  spellings: readonly string[]
}

const unit = (dimension: Dimension, code: string, factor: number, spellings: string[] = [], offset = 0): Unit => ({
  code,
  dimension,
  factor,
  offset,
  spellings: [code, ...spellings],
})

export const UNITS: readonly Unit[] = [
  unit('voltage', 'V', 1, ['volt', 'volts']),
  unit('voltage', 'mV', 1e-3),
  unit('voltage', 'kV', 1e3),
  unit('current', 'A', 1, ['amp', 'amps', 'ampere']),
  unit('current', 'mA', 1e-3),
  unit('current', 'uA', 1e-6, ['\u00b5A', '\u03bcA']),
  unit('charge', 'A.h', 1, ['Ah', 'A\u00b7h']),
  unit('charge', 'mA.h', 1e-3, ['mAh', 'mA\u00b7h']),
  unit('resistance', 'Ohm', 1, ['ohm', 'ohms', '\u03a9', '\u2126']),
  unit('resistance', 'kOhm', 1e3, ['kohm', 'k\u03a9', 'k\u2126']),
  unit('resistance', 'MOhm', 1e6, ['Mohm', 'M\u03a9', 'M\u2126']),
  unit('time', 'h', 1, ['hour', 'hours', 'hr']),
  unit('time', 'min', 1 / 60, ['minute', 'minutes']),
  unit('time', 's', 1 / 3600, ['sec', 'second', 'seconds']),
  unit('time', 'd', 24, ['day', 'days']),
  unit('temperature', 'Cel', 1, ['\u00b0C', 'degC']),
  unit('temperature', '[degF]', 5 / 9, ['\u00b0F', 'degF'], (-32 * 5) / 9),
  unit('temperature', 'K', 1, [], -273.15),
  unit('power', 'W', 1, ['watt', 'watts']),
  unit('power', 'mW', 1e-3),
  unit('apparent-power', 'V.A', 1, ['VA', 'V\u00b7A']),
  unit('length', 'mm', 1),
  unit('length', 'cm', 10),
  unit('length', 'm', 1000),
  unit('length', '[in_i]', 25.4, ['in', 'inch']),
  unit('length', '[ft_i]', 304.8, ['ft', 'foot', 'feet']),
  unit('ratio', '1', 1),
  unit('ratio', '%', 0.01),
]

const BY_SPELLING = new Map(UNITS.flatMap((entry) => entry.spellings.map((spelling) => [spelling, entry] as const)))

/** The unit of a spelling; undefined when it is not known. Case counts: mV and MV are not the same. */
export function findUnit(spelling: string): Unit | undefined {
  return BY_SPELLING.get(spelling.trim())
}
