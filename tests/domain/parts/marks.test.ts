import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { decodeBands } from '../../../src/domain/circuits/colour-code.ts'
import { decodeLetters } from '../../../src/domain/circuits/letter-code.ts'
import { nearestPreferred, type Series, seriesValues } from '../../../src/domain/circuits/preferred-values.ts'
import { wireAreaMm2 } from '../../../src/domain/circuits/wire.ts'
import { readFuseCode } from '../../../src/domain/parts/fuse-code.ts'

const rowsOf = (name: string) => JSON.parse(readFileSync(`tests/reference/parts/${name}.json`, 'utf8')).rows as any[]
let worst = { relative: 0, at: '' }
const near = (id: string, found: number, printed: string) => {
  const relative = Math.abs(found / Number(printed) - 1)
  if (relative > worst.relative) worst = { relative, at: id }
  expect(relative, `${id}: ${found}`).toBeLessThan(1e-12)
}
afterAll(() => console.info(`marks of parts: worst relative deviation ${worst.relative} ${worst.at}`))

const SETTLED = rowsOf('e-series-nearest').filter(({ id }) => id !== 'es-02')
test.each(SETTLED)('$id: nearest of $given.series to $given.resistanceOhm Ohm', ({ id, given, expected }) => {
  const found = nearestPreferred(given.resistanceOhm, given.series)
  near(id, found, expected.nearestOhm)
  expect(Math.abs(found - given.resistanceOhm) / given.resistanceOhm).toBeCloseTo(
    Number(expected.relativeErrorFraction),
    4,
  )
})

test('es-02: a tie of plain differences is none of ratios, by which the steps of a series are made', () => {
  const { given, expected } = rowsOf('e-series-nearest').find(({ id }) => id === 'es-02')!
  const errors = [1800, 2200].map((ohm) => Math.abs(ohm - given.resistanceOhm) / given.resistanceOhm)
  expect(errors).toEqual([Number(expected.relativeErrorFraction), Number(expected.relativeErrorFraction)])
  expect(nearestPreferred(given.resistanceOhm, given.series)).toBe(2200)
})

test.each(rowsOf('colour-code'))('$id: $given.bands', ({ id, given, expected }) => {
  const found = decodeBands(given.bands).find(({ isReversed }) => !isReversed)!
  near(id, found.ohm, expected.resistanceOhm)
  near(id, found.toleranceFraction, expected.toleranceFraction)
})

test.each(rowsOf('resistance-letter-code'))('$id: $given.code', ({ id, given, expected }) => {
  near(id, decodeLetters(given.code)!.ohm, expected.resistanceOhm)
})

test('every gauge of the table has its area, as printed', () => {
  const { rows } = JSON.parse(readFileSync('tests/reference/parts/tables.json', 'utf8')).awgAreaMm2
  for (const [gauge, printed] of Object.entries(rows)) expect(wireAreaMm2(Number(gauge)).toFixed(3)).toBe(printed)
})

test('the nearest value is a member, and none is nearer by ratio', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1, max: 1e6, noNaN: true }),
      fc.constantFrom<Series>('E6', 'E12', 'E24', 'E96'),
      (ohm, series) => {
        const found = nearestPreferred(ohm, series)
        const scale = 10 ** Math.floor(Math.log10(found * (1 + 1e-9)))
        const digits = seriesValues(series)[0]!
        const mantissas = seriesValues(series).map((value) => value / digits)
        expect(mantissas.some((value) => Math.abs(found / scale / value - 1) < 1e-9)).toBe(true)
        for (const value of mantissas)
          expect(Math.abs(Math.log((value * scale) / ohm))).toBeGreaterThanOrEqual(
            Math.abs(Math.log(found / ohm)) - 1e-9,
          )
      },
    ),
  )
})

describe('marks of fuses', () => {
  test.each([
    ['T1AH250V', { speed: 'T', ratedCurrentA: 1, breakingCapacity: 'H', voltageV: 250 }],
    ['F500mAL250V', { speed: 'F', ratedCurrentA: 0.5, breakingCapacity: 'L', voltageV: 250 }],
    ['T 3,15A', { speed: 'T', ratedCurrentA: 3.15 }],
    ['FF 10A', { speed: 'FF', ratedCurrentA: 10 }],
    ['TT1.25A E', { speed: 'TT', ratedCurrentA: 1.25, breakingCapacity: 'E' }],
  ])('%s', (text, wanted) => {
    expect(readFuseCode(text)).toMatchObject(wanted)
    expect(readFuseCode(text)!.length).toBe(text.length)
  })

  test.each(['F1', 'F2', 'T1', 'TA', '1A', 'T1Ah', ''])('%s is none', (text) => {
    expect(readFuseCode(text)).toBeUndefined()
  })
})
