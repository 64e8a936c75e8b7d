import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { checkDigit, readGtin } from '../../../src/domain/parts/gtin.ts'

const rowsOf = (name: string) => JSON.parse(readFileSync(`tests/reference/parts/${name}.json`, 'utf8')).rows as any[]

describe('reference rows', () => {
  test.each(rowsOf('gtin'))('$id check digit and fourteen digits', ({ given, expected }) => {
    expect(checkDigit(given.withoutCheckDigit)).toBe(expected.checkDigit)
    expect(readGtin(expected.gtin)).toMatchObject({ isValid: true, gtin14: expected.gtin14 })
  })

  test.each(rowsOf('gtin-validation'))('$id validity of "$given.gtin"', ({ given, expected }) => {
    const { isValid, code } = readGtin(given.gtin)
    expect(isValid ?? null).toBe(expected.isValid)
    if (expected.code) expect(code).toBe(expected.code)
  })
})

const body = (length: number) =>
  fc.array(fc.integer({ min: 0, max: 9 }), { minLength: length, maxLength: length }).map((digits) => digits.join(''))
const anyBody = fc.constantFrom(7, 11, 12, 13).chain(body)

test('a single wrong digit is always found', () => {
  fc.assert(
    fc.property(anyBody, fc.nat(), fc.integer({ min: 1, max: 9 }), (digits, place, step) => {
      const whole = digits + checkDigit(digits)
      const at = place % whole.length
      const wrong = whole.slice(0, at) + ((Number(whole[at]) + step) % 10) + whole.slice(at + 1)
      expect(readGtin(whole).isValid).toBe(true)
      expect(readGtin(wrong).code).toBe('GTIN_CHECK_DIGIT')
    }),
  )
})

test('leading noughts change neither validity nor the fourteen digits', () => {
  fc.assert(
    fc.property(body(11), (digits) => {
      const whole = digits + checkDigit(digits)
      expect(readGtin(`0${whole}`).gtin14).toBe(readGtin(whole).gtin14)
    }),
  )
})

test('restricted numbers are valid and marked', () => {
  expect(readGtin('2000000000121')).toMatchObject({ isValid: true, code: 'GTIN_RESTRICTED', isRestricted: true })
  expect(readGtin('9521234543213').isRestricted).toBe(true)
  expect(readGtin('6291041500213').isRestricted).toBeUndefined()
})

test('a pack is told by its level and is not the piece', () => {
  expect(readGtin('19521234543210')).toMatchObject({ packLevel: 1 })
  expect(readGtin('6291041500213').packLevel).toBeUndefined()
})

test('a lost nought or a shortened number is refused and never repaired', () => {
  expect(readGtin('36000291452')).toEqual({ isValid: false, code: 'GTIN_LENGTH' })
  expect(readGtin('6,29104E+12')).toEqual({ isValid: false, code: 'GTIN_SCIENTIFIC_NOTATION' })
  expect(readGtin('629104150021X').code).toBe('GTIN_LENGTH')
})
