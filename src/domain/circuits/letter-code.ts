/** Letter code of IEC 60062 (from memory): the letter stands for the decimal point, a last letter for the tolerance. */
const MULTIPLIERS: Record<string, number> = { L: -3, R: 0, K: 3, M: 6, G: 9 }
const TOLERANCES: Record<string, number> = { B: 0.001, C: 0.0025, D: 0.005, F: 0.01, G: 0.02, J: 0.05, K: 0.1, M: 0.2 }

const FORM = /^(\d*)([LRKMG])(\d*)([BCDFGJKM])?$/

export interface LetterCoded {
  ohm: number
  toleranceFraction?: number
}

/**
 * Resistance that a letter code writes, in ohm; undefined for what is no letter code.
 *
 * @example decodeLetters('4K7J') // { ohm: 4700, toleranceFraction: 0.05 }
 */
export function decodeLetters(code: string): LetterCoded | undefined {
  const parts = FORM.exec(code.trim().toUpperCase())
  if (!parts || (parts[1] === '' && parts[3] === '')) return undefined
  const [, whole, letter, decimals, tolerance] = parts
  const ohm = Number(`${whole || '0'}.${decimals || '0'}e${MULTIPLIERS[letter!]}`)
  return { ohm, ...(tolerance === undefined ? {} : { toleranceFraction: TOLERANCES[tolerance]! }) }
}

/**
 * Letter code of a resistance.
 *
 * @example encodeLetters(4700, 0.05) // '4K7J'
 */
export function encodeLetters(ohm: number, toleranceFraction?: number): string {
  const [letter, exponent] = Object.entries(MULTIPLIERS)
    .reverse()
    .find(([, power]) => ohm >= 10 ** power) ?? ['L', -3]
  const [whole, decimals = ''] = String(Number((ohm / 10 ** exponent).toPrecision(6))).split('.')
  const tolerance = Object.entries(TOLERANCES).find(([, value]) => value === toleranceFraction)?.[0] ?? ''
  return `${whole}${letter}${decimals}${tolerance}`
}
