import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { redact } from '../../../src/domain/words/redact.ts'

describe('is taken out', () => {
  test.each([
    ['call me on 555-0142', 'call me on [phone]'],
    ['call +44 20 7946 0958 please', 'call [phone] please'],
    ['(555) 010-4477', '[phone]'],
    ['555.010.4477', '[phone]'],
    ['five five five zero one four two', '[number]'],
    ['write to anna@shop.example', 'write to [e-mail]'],
    ['account 9021055', 'account [phone]'],
    ['customer 90210', 'customer [number]'],
    ['123456789012345678901234567890', '[number]'],
  ])('a number or an e-mail address: %s', (text, kept) => {
    expect(redact(text)).toBe(kept)
  })

  test.each([
    ['we live at 14 Maple Street', 'we live at [address]'],
    ['221b baker st', '[address]'],
    ['42 Elm Rd', '[address]'],
    ['1200 North Hill Avenue', '[address]'],
    ['12 Oak Drive', '[address]'],
    ['Lindenstra\u00dfe 12', '[address]'],
    ['12 rue de la Paix', '[address]'],
    ['Calle Mayor 12', '[address]'],
    ['apt 4b', '[address]'],
    ['AB1 2CD', '[address]'],
  ])('the address of a house: %s', (text, kept) => {
    expect(redact(text)).toBe(kept)
  })

  test.each([
    ['my code is 4471', 'my code is [code]'],
    ['code: 9-9-4-2', 'code: [code]'],
    ['pin 4 4 7 1', 'pin [code]'],
    ['my pin is 123', 'my pin is [code]'],
    ['1234 is my code', '[code] is my code'],
    ['I typed 4 4 7 1', 'I typed [code]'],
    ['code one two three four', 'code [number]'],
    ['the password is banana', 'the password is [code]'],
    ['the password is blue horse and it fails', 'the password is [code] and it fails'],
    ['password: "blue horse run"', 'password: [code]'],
    ['our duress word is lemon', 'our duress word is [code]'],
    ['my passcode lemon77', 'my passcode [code]'],
    ['Kennwort ist Sonne', 'Kennwort ist [code]'],
  ])('a code or a password: %s', (text, kept) => {
    expect(redact(text)).toBe(kept)
  })
})

test.each([
  'zone 3 does not close',
  'zone 4 is open by the drive way',
  '12 volts on the street side',
  'the loop has 10000 ohms',
  'it reads 2200000 ohms',
  'readings were 11.4 12.1 10.2',
  'the password is wrong',
  'trouble code 1381',
  'code E301 shows',
  'the code 301',
  'battery dated 2019',
  'two one zero',
])('what a diagnosis needs stays: %s', (text) => {
  expect(redact(text)).toBe(text)
})

const words = fc.constantFrom(
  'battery',
  'low',
  'my',
  'zone',
  'is',
  'and',
  'the',
  'at',
  'street',
  'code',
  'pin',
  ',',
  '.',
  '"',
)
const sentence = fc.array(words, { maxLength: 8 }).map((list) => list.join(' '))
const digits = (length: number) =>
  fc.array(fc.integer({ min: 0, max: 9 }), { minLength: length, maxLength: length }).map((list) => list.join(''))
const phone = fc
  .tuple(fc.constantFrom('-', ' ', '.', ''), digits(3), digits(3), digits(4))
  .map(([separator, ...parts]) => parts.join(separator))

test('no telephone number is left of any sentence', () => {
  fc.assert(
    fc.property(sentence, phone, sentence, (before, number, after) => {
      const kept = redact(`${before} call ${number} ${after}`)
      expect(kept).not.toContain(number)
      expect(kept.replace(/\D/g, '')).toBe('')
    }),
  )
})

test('no code of four to eight figures is left behind the word for it', () => {
  const code = fc.integer({ min: 4, max: 8 }).chain(digits)
  const said = fc.constantFrom('my code is', 'the code:', 'pin', 'passcode =', 'user code number', 'password is')
  fc.assert(
    fc.property(sentence, said, code, sentence, (before, secret, figures, after) => {
      expect(redact(`${before} ${secret} ${figures} ${after}`)).not.toContain(figures)
    }),
  )
})

test('a text once redacted stays as it is', () => {
  const piece = fc.oneof(
    words,
    phone,
    digits(4),
    fc.constantFrom('password is', '14 Maple', 'my code', 'one two', 'a@b.c'),
  )
  fc.assert(
    fc.property(fc.array(piece, { maxLength: 14 }), (list) => {
      const once = redact(list.join(' '))
      expect(redact(once)).toBe(once)
    }),
    { numRuns: 2000 },
  )
})

test('any text at all is redacted without a fault', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary', maxLength: 400 }), (text) => {
      expect(typeof redact(text)).toBe('string')
    }),
  )
})
