import { DomainError } from '../errors.ts'
import { isPreferred, type Series } from './preferred-values.ts'

/** Colour bands of IEC 60062 (read in a secondary chart; pink in the abstract of the 2016 edition). */
interface Colour {
  digit?: number
  exponent?: number
  toleranceFraction?: number
  ppmPerK?: number
}
const COLOURS: Record<string, Colour> = {
  black: { digit: 0, exponent: 0, ppmPerK: 250 },
  brown: { digit: 1, exponent: 1, toleranceFraction: 0.01, ppmPerK: 100 },
  red: { digit: 2, exponent: 2, toleranceFraction: 0.02, ppmPerK: 50 },
  orange: { digit: 3, exponent: 3, toleranceFraction: 0.0005, ppmPerK: 15 },
  yellow: { digit: 4, exponent: 4, toleranceFraction: 0.0002, ppmPerK: 25 },
  green: { digit: 5, exponent: 5, toleranceFraction: 0.005, ppmPerK: 20 },
  blue: { digit: 6, exponent: 6, toleranceFraction: 0.0025, ppmPerK: 10 },
  violet: { digit: 7, exponent: 7, toleranceFraction: 0.001, ppmPerK: 5 },
  grey: { digit: 8, exponent: 8, toleranceFraction: 0.0005, ppmPerK: 1 },
  white: { digit: 9, exponent: 9 },
  gold: { exponent: -1, toleranceFraction: 0.05 },
  silver: { exponent: -2, toleranceFraction: 0.1 },
  pink: { exponent: -3 },
}
const SYNONYMS: Record<string, string> = { gray: 'grey', purple: 'violet', tan: 'brown' }
export const COLOUR_NAMES = Object.keys(COLOURS)
/** Three bands have no tolerance band. */
const NO_BAND_TOLERANCE = 0.2

/** A band; null for one that cannot be read. */
export type Band = string | null
export interface DecodedResistor {
  bands: string[]
  isReversed: boolean
  ohm: number
  toleranceFraction: number
  ppmPerK?: number
  /** A preferred value of the series that usually goes with its tolerance. */
  isPreferred: boolean
}

/** Series that a tolerance is usual with; a shop sells 1 % parts in E24 values too. */
function usualSeries(toleranceFraction: number): Series[] {
  if (toleranceFraction >= 0.05) return ['E24']
  return toleranceFraction >= 0.02 ? ['E24', 'E48'] : ['E24', 'E96', 'E192']
}

/** The name of a colour as the code knows it. @throws DomainError UNKNOWN_ID with the names */
export function colourName(written: string, path: string): string {
  const lower = written.trim().toLowerCase()
  const name = SYNONYMS[lower] ?? lower
  if (Object.hasOwn(COLOURS, name)) return name
  throw new DomainError('UNKNOWN_ID', `a band must be one of ${COLOUR_NAMES.join(', ')}, got ${written}`, {
    path,
    limit: COLOUR_NAMES.join(', '),
    value: written,
  })
}

/** Value of bands in one direction; undefined where that direction makes no resistor. */
function decodeForward(bands: readonly string[], isReversed: boolean): DecodedResistor | undefined {
  const digitCount = bands.length >= 5 ? 3 : 2
  const digits = bands.slice(0, digitCount).map((name) => COLOURS[name]!.digit)
  const exponent = COLOURS[bands[digitCount]!]?.exponent
  const toleranceBand = bands[digitCount + 1]
  const toleranceFraction = toleranceBand === undefined ? NO_BAND_TOLERANCE : COLOURS[toleranceBand]!.toleranceFraction
  const coefficientBand = bands[5]
  const ppmPerK = coefficientBand === undefined ? undefined : COLOURS[coefficientBand]!.ppmPerK
  const isLegal = digits[0] !== 0 && digits.every((digit) => digit !== undefined)
  if (!isLegal || exponent === undefined || toleranceFraction === undefined) return undefined
  if (coefficientBand !== undefined && ppmPerK === undefined) return undefined
  const ohm = Number(`${digits.join('')}e${exponent}`)
  return {
    bands: [...bands],
    isReversed,
    ohm,
    toleranceFraction,
    ...(ppmPerK === undefined ? {} : { ppmPerK }),
    isPreferred: usualSeries(toleranceFraction).some((series) => isPreferred(ohm, series)),
  }
}

/** Fill-ins for bands that cannot be read. */
function filled(bands: readonly Band[]): string[][] {
  return bands.reduce<string[][]>(
    (lists, band) => lists.flatMap((list) => (band === null ? COLOUR_NAMES : [band]).map((name) => [...list, name])),
    [[]],
  )
}

const MOST_UNREADABLE = 2

/**
 * Resistors that colour bands can mean: both directions, every fill-in of bands that cannot be read.
 *
 * two digits (three from five bands on), multiplier, tolerance, temperature coefficient
 *
 * @param bands - 3 to 6 colours from one end; null for one that cannot be read, at most two of them
 * @returns candidates, preferred values first, then as read before reversed; empty when no direction makes a resistor
 * @throws DomainError UNKNOWN_ID for a colour nobody knows, QUANTITY_OUT_OF_RANGE for the number of bands
 * @validity one black band is a zero-ohm link (from memory); texts disagree on violet and grey as tolerance
 * @source iec-60062 (a secondary chart)
 * @example decodeBands(['yellow', 'violet', 'red', 'gold'])[0].ohm // 4700
 */
export function decodeBands(bands: readonly Band[]): DecodedResistor[] {
  if (bands.length === 1 && bands[0] === 'black')
    return [{ bands: ['black'], isReversed: false, ohm: 0, toleranceFraction: 0, isPreferred: true }]
  const unreadable = bands.filter((band) => band === null).length
  if (bands.length < 3 || bands.length > 6 || unreadable > MOST_UNREADABLE)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'bands must be 3 to 6 colours, at most 2 of them unreadable', {
      path: '/bands',
      limit: '3 to 6, at most 2 null',
      value: bands.length,
    })
  const names = bands.map((band, index) => (band === null ? null : colourName(band, `/bands/${index}`)))
  const candidates = filled(names).flatMap((list) => {
    const backwards = [...list].reverse()
    const isPalindrome = backwards.every((name, index) => name === list[index])
    const found = [decodeForward(list, false), isPalindrome ? undefined : decodeForward(backwards, true)]
    return found.filter((resistor) => resistor !== undefined)
  })
  const legal = unreadable > 0 ? candidates.filter((resistor) => resistor.isPreferred) : candidates
  return legal.sort(
    (a, b) =>
      Number(b.isPreferred) - Number(a.isPreferred) || Number(a.isReversed) - Number(b.isReversed) || a.ohm - b.ohm,
  )
}

const nameWhere = (field: keyof Colour, value: number) =>
  Object.entries(COLOURS).find(([, colour]) => colour[field] === value)?.[0]

/**
 * Bands of a resistance; undefined where the code cannot write it.
 *
 * @example encodeBands(4700, 0.05) // ['yellow', 'violet', 'red', 'gold']
 */
export function encodeBands(ohm: number, toleranceFraction: number): string[] | undefined {
  const digitCount = toleranceFraction < 0.05 ? 3 : 2
  const exponent = Math.floor(Math.log10(ohm) + 1e-12) - (digitCount - 1)
  const mantissa = Math.round(ohm / 10 ** exponent)
  const isExact = Math.abs(mantissa * 10 ** exponent - ohm) <= 1e-9 * ohm
  const digits = String(mantissa)
  const multiplier = nameWhere('exponent', exponent)
  const tolerance = toleranceFraction === NO_BAND_TOLERANCE ? [] : [nameWhere('toleranceFraction', toleranceFraction)]
  if (!isExact || digits.length !== digitCount || multiplier === undefined || tolerance.includes(undefined))
    return undefined
  return [...[...digits].map((digit) => nameWhere('digit', Number(digit))!), multiplier, ...(tolerance as string[])]
}
