/** Envelope of a cell, largest measures [mm]. */
export interface Envelope {
  diameterMm: number
  heightMm: number
}

/**
 * Sizes numbered before October 1990, largest measures [mm]: the number is a row of this table, no dimension.
 * Source: Linden's Handbook of Batteries, 4th ed., table 4.9a, p. 4.11 (read).
 */
const NUMBERED: ReadonlyMap<string, Envelope> = new Map([
  ['03', { diameterMm: 10.5, heightMm: 44.5 }],
  ['1', { diameterMm: 12, heightMm: 30.2 }],
  ['6', { diameterMm: 14.5, heightMm: 50.5 }],
  ['14', { diameterMm: 26.2, heightMm: 50 }],
  ['20', { diameterMm: 34.2, heightMm: 61.5 }],
  ['41', { diameterMm: 7.9, heightMm: 3.6 }],
  ['43', { diameterMm: 11.6, heightMm: 4.2 }],
  ['44', { diameterMm: 11.6, heightMm: 5.4 }],
  ['48', { diameterMm: 7.9, heightMm: 5.4 }],
  ['54', { diameterMm: 11.6, heightMm: 3.05 }],
  ['55', { diameterMm: 11.6, heightMm: 2.1 }],
])

/**
 * Sizes with a letter for the tenths of the diameter: looked up, never derived, since lists disagree about the rule.
 * 8D425 from an open list of battery sizes (read); the diameter of 15H270 is given as about 15.6 mm, from memory.
 */
const LETTERED: ReadonlyMap<string, Envelope> = new Map([
  ['8D425', { diameterMm: 8.3, heightMm: 42.5 }],
  ['15H270', { diameterMm: 15.6, heightMm: 27 }],
])

/**
 * Recommended diameters by their code [mm]: the whole millimetres, rounded down.
 * Source: IEC 60086-1, from memory; 9, 11, 14 and 20 confirmed by lists that were read.
 */
const DIAMETERS: ReadonlyMap<string, number> = new Map([
  ['4', 4.8],
  ['5', 5.8],
  ['6', 6.8],
  ['7', 7.9],
  ['9', 9.5],
  ['10', 10],
  ['11', 11.6],
  ['12', 12.5],
  ['14', 14.5],
  ['15', 15],
  ['16', 16],
  ['17', 17],
  ['18', 18],
  ['20', 20],
  ['22', 22],
  ['23', 23],
  ['24', 24.5],
  ['25', 25],
  ['26', 26.2],
  ['30', 30],
  ['32', 32],
  ['34', 34.2],
])

/** A geometry code: diameter code, then the height in tenths of a millimetre, three digits of it where there are five. */
function geometry(digits: string): Envelope | undefined {
  const heightDigits = digits.length === 5 ? 3 : 2
  const diameterMm = DIAMETERS.get(digits.slice(0, -heightDigits))
  return diameterMm === undefined ? undefined : { diameterMm, heightMm: Number(digits.slice(-heightDigits)) / 10 }
}

/**
 * Largest envelope of a cell by the size part of its designation [mm]; undefined for a size that is not known.
 *
 * @source linden-4 table 4.9a (read); iec-60086-1 geometry codes (from memory, confirmed by two secondary texts)
 * @example envelopeOf('2032') // { diameterMm: 20, heightMm: 3.2 }
 */
export function envelopeOf(size: string): Envelope | undefined {
  const known = NUMBERED.get(size) ?? LETTERED.get(size)
  if (known) return known
  return /^[1-9]\d{2,4}$/.test(size) ? geometry(size) : undefined
}

/** Whether a size is of the table from before 1990, as two digits or fewer always are. */
export const isNumbered = (size: string): boolean => /^\d{1,2}$/.test(size)
