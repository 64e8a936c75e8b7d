import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { editDistance } from '../../../src/domain/words/edit-distance.ts'
import { Spelling } from '../../../src/domain/words/spelling.ts'
import { stem } from '../../../src/domain/words/stem.ts'

const { cases } = JSON.parse(readFileSync('tests/reference/words/edit-distance.json', 'utf8')) as {
  cases: { a: string; b: string; expected: string }[]
}
const FAR = 20
const word = fc.string({ unit: fc.constantFrom('a', 'b', 'c', 'd'), minLength: 0, maxLength: 7 })

describe('the distance between two words', () => {
  test.each(cases)('is that of the textbooks: $a and $b', ({ a, b, expected }) => {
    expect(String(editDistance(a, b, FAR))).toBe(expected)
  })

  test('is the same both ways, and nothing only between equal words', () => {
    fc.assert(
      fc.property(word, word, (a, b) => {
        expect(editDistance(a, b, FAR)).toBe(editDistance(b, a, FAR))
        expect(editDistance(a, b, FAR) === 0).toBe(a === b)
      }),
    )
  })

  test('is cut off just above the most that is asked for', () => {
    fc.assert(
      fc.property(word, word, fc.integer({ min: 0, max: 3 }), (a, b, most) => {
        expect(editDistance(a, b, most)).toBe(Math.min(editDistance(a, b, FAR), most + 1))
      }),
    )
  })
})

const VOCABULARY = ['keypad', 'battery', 'siren', 'tamper', 'monitoring', 'cell', 'low', 'e301']
const spelling = new Spelling(VOCABULARY)
const nearest = (text: string) => spelling.nearest(text, () => {})?.word

describe('a misspelt word', () => {
  test.each([
    ['keypda', 'keypad'],
    ['batery', 'battery'],
    ['battry', 'battery'],
    ['sirren', 'siren'],
    ['tampar', 'tamper'],
    ['monitering', 'monitoring'],
    ['mointoirng', 'monitoring'],
    ['cel', undefined],
    ['lwo', undefined],
    ['kepda', undefined],
    ['e302', undefined],
    ['window', undefined],
  ])('%s is read as %s', (text, wanted) => {
    expect(nearest(text)).toBe(wanted)
  })

  test('is found just where comparing it with every word finds it', () => {
    const slips = fc
      .constantFrom('battery', 'keypad', 'monitoring')
      .chain((right) =>
        fc
          .array(fc.tuple(fc.nat(right.length - 1), fc.constantFrom('', 'x', 'ee')), { minLength: 1, maxLength: 3 })
          .map((edits) =>
            edits.reduce<string>((text, [at, put]) => text.slice(0, at) + put + text.slice(at + 1), right),
          ),
      )
    const allowed = (text: string) => (text.length < 4 ? 0 : text.length < 8 ? 1 : 2)
    fc.assert(
      fc.property(slips, (text) => {
        const within = VOCABULARY.filter((right) => {
          const most = Math.min(allowed(text), allowed(right))
          return most > 0 && /^[a-z]+$/.test(right) && editDistance(text, right, FAR) <= most
        })
        const found = nearest(text)
        expect(found === undefined ? [] : [found].filter((right) => within.includes(right))).toHaveLength(
          Math.min(1, within.length),
        )
      }),
    )
  })
})

test.each([
  ['batteries', 'battery'],
  ['sensors', 'sensor'],
  ['boxes', 'box'],
  ['switches', 'switch'],
  ['beeping', 'beep'],
  ['stopped', 'stop'],
  ['flashing', 'flash'],
  ['charging', 'charge'],
  ['charged', 'charge'],
  ['zones', 'zone'],
])('%s and %s have one stem', (one, other) => {
  expect(stem(one)).toBe(stem(other))
})

test.each([
  ['loss', 'los'],
  ['bus', 'bu'],
  ['ring', 'r'],
  ['red', 'r'],
])('%s keeps more than %s', (text, cut) => {
  expect(stem(text)).not.toBe(cut)
})
