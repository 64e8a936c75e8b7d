import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { gtinCheckDigit, readGtin } from '../../../src/domain/parts/gtin.ts'
import published from '../../reference/parts/gtin.json' with { type: 'json' }

describe('trade item numbers', () => {
  test.each(published.rows)('$id has its check digit and its 14 digits', ({ given, expected }) => {
    expect(gtinCheckDigit(given.withoutCheckDigit)).toBe(expected.checkDigit)
    expect(readGtin(expected.gtin)).toMatchObject({ isValid: true, gtin14: expected.gtin14 })
  })

  test.each(published.validation)('$id is judged as the rule says', ({ given, expected }) => {
    expect(readGtin(given.gtin)).toMatchObject(expected)
  })

  test('every single wrong digit is noticed', () => {
    const body = fc.stringMatching(/^\d{12}$/)
    fc.assert(
      fc.property(body, fc.nat(12), fc.integer({ min: 1, max: 9 }), (digits, at, shift) => {
        const right = digits + gtinCheckDigit(digits)
        const wrong = [...right].map((digit, index) => (index === at ? (Number(digit) + shift) % 10 : digit)).join('')
        expect(readGtin(right).isValid).toBe(true)
        expect(readGtin(wrong)).toEqual({ isValid: false, code: 'GTIN_CHECK_DIGIT' })
      }),
    )
  })

  test('a shop’s own number is no global key, and eleven digits are no number', () => {
    expect(readGtin('2000000000121')).toMatchObject({ isRestricted: true })
    expect(readGtin('6291041500213')).toMatchObject({ isRestricted: false })
    expect(readGtin('61414100036')).toEqual({ isValid: false, code: 'GTIN_LENGTH' })
  })
})
