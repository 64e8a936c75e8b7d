export type GtinFault =
  | 'GTIN_ABSENT'
  | 'GTIN_SCIENTIFIC_NOTATION'
  | 'GTIN_LENGTH'
  | 'GTIN_CHECK_DIGIT'
  | 'GTIN_RESTRICTED'

export interface ReadGtin {
  /** Undefined when there is nothing to judge. */
  isValid?: boolean
  code?: GtinFault
  /** Fourteen digits with leading noughts: the form to keep and to compare. */
  gtin14?: string
  /** Level of packing of a 14-digit number, 1 to 8; such a pack is another product than the piece in it. */
  packLevel?: number
  /** Not a key outside the place that made it up, or made for demonstrations. */
  isRestricted?: boolean
}

const LENGTHS = [8, 12, 13, 14]
/** 02 and 20 to 29 circulate inside one shop or country; 952 is for demonstrations. From memory of the GS1 manual. */
const RESTRICTED = /^(?:02|2\d|952)/
/** A number that a spreadsheet has shortened: its digits are lost and must not be made up. */
const SCIENTIFIC = /^\d(?:[.,]\d+)?e\+?\d+$/i

/**
 * Check digit of a GTIN body of up to 17 digits.
 *
 * check = (10 - sum mod 10) mod 10, the sum with weights 3, 1, 3, 1, ... from the right
 *
 * @validity finds every single wrong digit; not a swap of neighbours that differ by 5
 * @source gs1-check manual check-digit page: body 629104150021, sum 57, check 3 (read)
 * @example checkDigit('629104150021') // '3'
 */
export function checkDigit(body: string): string {
  const sum = [...body].reverse().reduce((total, digit, index) => total + Number(digit) * (index % 2 === 0 ? 3 : 1), 0)
  return String((10 - (sum % 10)) % 10)
}

function faulty(code: GtinFault): ReadGtin {
  return { isValid: false, code }
}

/**
 * A GTIN as it may stand in a catalogue: checked, and brought to fourteen digits. Nothing is ever repaired.
 *
 * @param text - digits; blanks and hyphens between them are ignored
 * @returns valid or not with the code of the fault; neither for an empty text
 * @source gs1-check (read) for rule and 14 digits; restricted ranges and pack levels from memory
 * @example readGtin('6291041500213').gtin14 // '06291041500213'
 */
export function readGtin(text: string): ReadGtin {
  const digits = text.trim().replace(/[\s-]/g, '')
  if (digits === '') return { code: 'GTIN_ABSENT' }
  if (SCIENTIFIC.test(digits)) return faulty('GTIN_SCIENTIFIC_NOTATION')
  if (!/^\d+$/.test(digits) || !LENGTHS.includes(digits.length)) return faulty('GTIN_LENGTH')
  if (checkDigit(digits.slice(0, -1)) !== digits.at(-1)) return faulty('GTIN_CHECK_DIGIT')
  const gtin14 = digits.padStart(14, '0')
  const packLevel = Number(gtin14[0])
  const isRestricted = RESTRICTED.test(gtin14.slice(1))
  return {
    isValid: true,
    gtin14,
    ...(packLevel >= 1 && packLevel <= 8 && { packLevel }),
    ...(isRestricted && { isRestricted, code: 'GTIN_RESTRICTED' as const }),
  }
}
