/** What a trade item number says about itself; "absent" is allowed, everything else that is not valid is dropped. */
export type GtinVerdict =
  | { isValid: true; gtin14: string; isRestricted: boolean }
  | { isValid: false; code: 'GTIN_CHECK_DIGIT' | 'GTIN_LENGTH' | 'GTIN_SCIENTIFIC_NOTATION' }
  | { isValid: null; code: 'GTIN_ABSENT' }

const LENGTHS = [8, 12, 13, 14]
/** In-store numbers: 02 and 20 to 29 at the head of a 13-digit number (from memory of the GS1 general specifications). */
const RESTRICTED = /^0(02|2[0-9])/

/**
 * Check digit [one digit] of a trade item number.
 *
 * check = (10 - sum mod 10) mod 10, where sum = 3 * d1 + 1 * d2 + 3 * d3 ... counted from the right of `body`
 *
 * @param body - the digits without the check digit
 * @returns the check digit
 * @validity misses a swap of neighbouring digits that differ by 5
 * @source gs1-check, worked example 629104150021 -> 3
 * @example gtinCheckDigit('629104150021') // '3'
 */
export function gtinCheckDigit(body: string): string {
  const sum = [...body].reverse().reduce((total, digit, index) => total + Number(digit) * (index % 2 === 0 ? 3 : 1), 0)
  return String((10 - (sum % 10)) % 10)
}

/**
 * Judges a trade item number as written; a damaged one is never repaired.
 *
 * @param written - as it stands in a shop's file; spaces at the ends are ignored
 * @returns the number as 14 digits, or why it is none
 * @validity says nothing of whether the number was ever issued
 * @source gs1-check; GS1 advice to store 14 digits
 * @example readGtin('6291041500213') // { isValid: true, gtin14: '06291041500213', isRestricted: false }
 */
export function readGtin(written: string): GtinVerdict {
  const text = written.trim()
  if (text === '') return { isValid: null, code: 'GTIN_ABSENT' }
  if (/^\d+(\.\d+)?e\+?\d+$/i.test(text)) return { isValid: false, code: 'GTIN_SCIENTIFIC_NOTATION' }
  if (!/^\d+$/.test(text) || !LENGTHS.includes(text.length)) return { isValid: false, code: 'GTIN_LENGTH' }
  if (gtinCheckDigit(text.slice(0, -1)) !== text.at(-1)) return { isValid: false, code: 'GTIN_CHECK_DIGIT' }
  const gtin14 = text.padStart(14, '0')
  return { isValid: true, gtin14, isRestricted: RESTRICTED.test(gtin14) }
}
