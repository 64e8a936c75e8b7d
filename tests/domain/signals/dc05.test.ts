import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { decodeDc05Message } from '../../../src/domain/signals/dc05.ts'
import { blockOf } from '../../../src/domain/signals/dc05-blocks.ts'
import { checkDigit, dtmfKeysOf, weightOf } from '../../../src/domain/signals/dc05-check-digit.ts'
import { dc05Digits, encodeDc05, messages, VECTORS } from '../../support/signals.ts'

describe('a worked message', () => {
  test.each(VECTORS.dc05.filter(({ expected }) => expected.isValid))('$id is read in full', ({ given, expected }) => {
    const { isValid: _valid, dtmf, isKnownCode: _known, ...fields } = expected
    expect(decodeDc05Message(given.message, true)).toEqual({ ok: true, value: fields, problems: [] })
    expect(dtmfKeysOf(given.message)).toBe(dtmf)
  })

  test.each(VECTORS.dc05.filter(({ expected }) => !expected.isValid))('$id is refused', ({ given, expected }) => {
    for (const isStrict of [true, false])
      expect(decodeDc05Message(given.message, isStrict)).toMatchObject({ ok: false, problem: { code: expected.error } })
  })
})

describe('the check digit', () => {
  test('brings the sum of weights to a multiple of fifteen', () => {
    fc.assert(
      fc.property(dc05Digits(15), (digits) => {
        expect(weightOf(digits + checkDigit(digits)) % 15).toBe(0)
      }),
    )
  })

  test('is never A and takes all fifteen values', () => {
    const seen = new Set([...'123456789BCDEF0'].map((last) => checkDigit(`12341813010000${last}`)))
    expect([...seen].sort().join('')).toBe('0123456789BCDEF')
  })

  test('tells any one changed digit', () => {
    fc.assert(
      fc.property(messages, fc.nat(15), dc05Digits(1), ({ fifteen }, at, digit) => {
        const message = encodeDc05(fifteen)
        fc.pre(message[at] !== digit)
        const changed = message.slice(0, at) + digit + message.slice(at + 1)
        expect(decodeDc05Message(changed, false)).toMatchObject({ ok: false, problem: { code: 'CHECKSUM' } })
      }),
    )
  })
})

test('a message that is sent is the message that is read', () => {
  fc.assert(
    fc.property(messages, ({ fields, fifteen }) => {
      expect(decodeDc05Message(encodeDc05(fifteen), true)).toMatchObject({ ok: true, value: fields })
    }),
    { numRuns: 2000 },
  )
})

test.each(['2', '0', '4', '5', '7', 'B'])('qualifier %s is refused', (qualifier) => {
  const message = encodeDc05(`123418${qualifier}30100000`)
  expect(decodeDc05Message(message, false)).toMatchObject({ ok: false, problem: { code: 'QUALIFIER' } })
})

test('blanks are passed over, and refused by a strict reading', () => {
  const printed = '1234 18 1131 01 015 8'
  expect(decodeDc05Message(printed, false)).toMatchObject({ ok: true, problems: [{ code: 'SURROUNDINGS' }] })
  expect(decodeDc05Message(printed, true)).toMatchObject({ ok: false, problem: { code: 'SURROUNDINGS' } })
})

test.each([
  ['358', '350'],
  ['345', '340'],
  ['318', '300'],
  ['394', '380'],
  ['3B1', '380'],
  ['169', '160'],
  ['999', undefined],
  ['099', undefined],
])('the unknown code %s stands in block %s', (code, block) => {
  expect(blockOf(code)).toBe(block)
})
