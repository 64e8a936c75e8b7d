import fc from 'fast-check'
import { expect, test } from 'vitest'
import { parseUnit, toUnit } from '../../../src/domain/quantities/convert.ts'
import { UNITS } from '../../../src/domain/quantities/units.ts'

/** Exact by definition: SI prefixes, 1 in = 25.4 mm, degF = Cel * 9/5 + 32, K = Cel + 273.15 (all from memory). */
const EXACT: [value: number, unit: string, target: string, expected: number][] = [
  [450, 'mA', 'A', 0.45],
  [35, 'uA', 'mA', 0.035],
  [35, '\u00b5A', 'A', 0.000035],
  [7000, 'mAh', 'Ah', 7],
  [7.2, 'A.h', 'mA.h', 7200],
  [2.2, 'k\u03a9', 'Ohm', 2200],
  [5, 'min', 's', 300],
  [15, 'min', 'h', 0.25],
  [3, 'd', 'h', 72],
  [77, '\u00b0F', 'Cel', 25],
  [-40, '[degF]', '\u00b0C', -40],
  [25, 'Cel', '[degF]', 77],
  [273.15, 'K', 'Cel', 0],
  [1, 'in', 'mm', 25.4],
  [1, 'ft', 'cm', 30.48],
  [80, '%', '1', 0.8],
  [13.65, 'V', 'mV', 13650],
]

test('converts by the exact factors, without binary crumbs', () => {
  for (const [value, unit, target, expected] of EXACT) expect(toUnit({ value, unit }, target), unit).toBe(expected)
})

test('there and back gives the same value for every pair of one dimension', () => {
  let worst = 0
  fc.assert(
    fc.property(
      fc.constantFrom(...UNITS),
      fc.nat(),
      fc.double({ min: -1e6, max: 1e6, noNaN: true }),
      (from, pick, value) => {
        const same = UNITS.filter(({ dimension }) => dimension === from.dimension)
        const to = same[pick % same.length]!
        const back = toUnit({ value: toUnit({ value, unit: from.code }, to.code), unit: to.code }, from.code)
        const error = Math.abs(back - value) / Math.max(1000, Math.abs(value))
        worst = Math.max(worst, error)
        expect(error).toBeLessThan(1e-12)
      },
    ),
  )
  console.info(`units: worst error there and back ${worst.toExponential(2)} of max(1000, value)`)
})

test('no spelling names two units', () => {
  const spellings = UNITS.flatMap((unit) => unit.spellings)
  expect(new Set(spellings).size).toBe(spellings.length)
  for (const unit of UNITS) for (const spelling of unit.spellings) expect(parseUnit(spelling)).toBe(unit)
})

test('refuses an unknown unit and lists the known ones', () => {
  expect(() => parseUnit('furlong')).toThrow(/mA.*Ah.*degF/)
  expect(() => toUnit({ value: 1, unit: 'V' }, 'volts?')).toThrow(expect.objectContaining({ code: 'UNKNOWN_UNIT' }))
  expect(() => parseUnit('ma')).toThrow(expect.objectContaining({ code: 'UNKNOWN_UNIT' }))
})

test('refuses a unit of another dimension and names both', () => {
  expect(() => toUnit({ value: 7, unit: 'Ah' }, 'A')).toThrow(/current such as A.*A\.h.*charge/)
  expect(() => toUnit({ value: 40, unit: 'VA' }, 'W')).toThrow(expect.objectContaining({ code: 'UNIT_MISMATCH' }))
})

test('refuses a value that is not finite or becomes so', () => {
  for (const value of [Number.NaN, Number.POSITIVE_INFINITY])
    expect(() => toUnit({ value, unit: 'A' }, 'mA')).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
  expect(() => toUnit({ value: 1e308, unit: 'kV' }, 'mV')).toThrow(
    expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }),
  )
})
