/** Digits of a message by weight less one; ten is sent as 0, and A is never sent. */
const DIGITS_BY_WEIGHT = '1234567890BCDEF'
const MODULUS = 15

/** Characters that a message may hold. */
export const DC05_DIGIT = /^[0-9B-F]$/

/** Keys that send the digits above nine. */
const KEYS: Readonly<Record<string, string>> = { B: '*', C: '#', D: 'A', E: 'B', F: 'C' }

/**
 * Sum of the weights of digits: 0 weighs 10, 1 to 9 themselves, B to F 11 to 15.
 *
 * @param digits - characters 0-9 and B-F
 * @source dc-05 1999.09, as the code of two public libraries has it
 * @example weightOf('1234') // 10
 */
export function weightOf(digits: string): number {
  return [...digits].reduce((sum, digit) => sum + DIGITS_BY_WEIGHT.indexOf(digit) + 1, 0)
}

/**
 * The digit that brings the sum of all weights to a multiple of 15.
 *
 * s = 15 - (sum of the weights mod 15), from 1 to 15; ten is sent as 0, fifteen as F
 *
 * @param digits - the first 15 digits of a message, each 0-9 or B-F
 * @validity blind to the order of digits
 * @source dc-05 1999.09, as the code of two public libraries has it; a printed example is reproduced
 * @example checkDigit('123418113101015') // '8'
 */
export function checkDigit(digits: string): string {
  return DIGITS_BY_WEIGHT[MODULUS - (weightOf(digits) % MODULUS) - 1]!
}

/**
 * The telephone keys that a message is dialled with.
 *
 * @param message - digits 0-9 and B-F
 * @source weights of the receiver module of an open telephony server (read)
 * @example dtmfKeysOf('B0F2') // '*0C2'
 */
export function dtmfKeysOf(message: string): string {
  return message.replace(/[B-F]/g, (digit) => KEYS[digit]!)
}
