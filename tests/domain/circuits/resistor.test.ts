import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { COLOUR_NAMES, decodeBands, encodeBands } from '../../../src/domain/circuits/colour-code.ts'
import { exactly, parallel } from '../../../src/domain/circuits/interval.ts'
import { decodeLetters, encodeLetters } from '../../../src/domain/circuits/letter-code.ts'
import { isPreferred, nearestPreferred, SERIES, seriesValues } from '../../../src/domain/circuits/preferred-values.ts'
import { identifyResistor } from '../../../src/domain/circuits/resistor.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/circuits/resistors.json')
afterAll(() => printed.report('resistors'))
const row = (id: string) => printed.row(`circuits-${id}`)

describe('published and analytic values', () => {
  test('the series of preferred values', () => {
    for (const id of ['r01', 'r02', 'r03'])
      expect(seriesValues(row(id).given.series).map(String)).toEqual(row(id).expected.values)
  })

  test('the nearest preferred value, by ratio', () => {
    for (const id of ['r05', 'r06', 'r08']) {
      const { resistanceOhm, series } = row(id).given
      printed.agrees(`circuits-${id}`, nearestPreferred(resistanceOhm, series), row(id).expected.nearestOhm)
    }
  })

  test('the least resistance at half of the rated power, and the next value up', () => {
    const { given, expected } = row('r27')
    const { voltageV, ratedPowerW, deratingFraction } = given
    const { power } = identifyResistor({ ohm: Number(expected.minResistanceOhm), voltageV, ratedPowerW })
    expect(power!.fractionOfRating).toBeCloseTo(deratingFraction, 5)
    const up = seriesValues('E24').map((value) => Number(value) * 10 ** (expected.nextE24UpOhm.length - 2))
    expect(Math.min(...up.filter((ohm) => ohm >= Number(expected.minResistanceOhm)))).toBe(
      Number(expected.nextE24UpOhm),
    )
  })

  test('colour bands', () => {
    for (const id of ['r09', 'r10', 'r11', 'r13', 'r28', 'r15', 'r17']) {
      const { expected, given } = row(id)
      const found = decodeBands(given.bands)[0]!
      printed.agrees(`circuits-${id}`, found.ohm, expected.resistanceOhm)
      printed.agrees(`circuits-${id}`, 100 * found.toleranceFraction, expected.tolerancePercent)
      if (expected.minOhm) printed.agrees(`circuits-${id}`, found.ohm * (1 - found.toleranceFraction), expected.minOhm)
      if (expected.maxOhm) printed.agrees(`circuits-${id}`, found.ohm * (1 + found.toleranceFraction), expected.maxOhm)
    }
  })

  test('bands that make no resistor or that nobody knows', () => {
    const [black, gold, unknown] = row('r31').given.bandsList
    expect(decodeBands(black).filter(({ isReversed }) => !isReversed)).toEqual([])
    expect(decodeBands(gold).filter(({ isReversed }) => !isReversed)).toEqual([])
    expect(() => decodeBands(unknown)).toThrow(expect.objectContaining({ code: 'UNKNOWN_ID' }))
  })

  test('parts side by side', () => {
    for (const id of ['r18', 'r19']) {
      const parts = row(id).given.resistancesOhm.map(exactly)
      printed.agrees(`circuits-${id}`, parallel(...parts).low, row(id).expected.resistanceOhm)
    }
  })

  test('which part a reading fits', () => {
    for (const id of ['r21', 'r22']) {
      const { given, expected } = row(id)
      const boundOhm = (given.readingOhm * given.meterPercentOfReading) / 100 + given.meterCounts * given.resolutionOhm
      const { fitted } = identifyResistor({
        measured: { ohm: given.readingOhm, boundOhm, wireOhm: given.wireOhm },
        series: given.series,
        toleranceFraction: given.partTolerancePercent / 100,
      })
      expect(fitted!.candidatesOhm.map(String)).toEqual(expected.candidatesOhm)
      if (expected.lowOhm) printed.agrees(`circuits-${id}`, fitted!.ohm.low, expected.lowOhm)
      if (expected.highOhm) printed.agrees(`circuits-${id}`, fitted!.ohm.high, expected.highOhm)
    }
  })

  test('power', () => {
    const { given, expected } = row('r25')
    const { power } = identifyResistor({
      ohm: given.resistanceOhm,
      voltageV: given.voltageV,
      ratedPowerW: given.ratedPowerW,
    })
    printed.agrees('circuits-r25', power!.powerW, expected.powerW)
    printed.agrees('circuits-r25', power!.fractionOfRating!, expected.fractionOfRating)
  })
})

describe('reading from the wrong end', () => {
  test('is offered when it makes sense too, and the answer is "ambiguous"', () => {
    const { bands, warnings } = identifyResistor({ bands: ['red', 'red', 'black', 'brown', 'brown'] })
    expect(bands!.candidates.map(({ ohm, isReversed }) => [ohm, isReversed])).toEqual([
      [2200, false],
      [11000, true],
    ])
    expect(bands!.verdict).toBe('ambiguous')
    expect(warnings.map(({ code }) => code)).toContain('READ_FROM_BOTH_ENDS')
  })

  test('makes no difference for a palindrome', () => {
    expect(decodeBands(['red', 'red', 'red', 'red'])).toHaveLength(1)
  })
})

test('a band that cannot be read gives every preferred value that it allows', () => {
  const values = decodeBands(['yellow', null, 'red', 'gold'])
    .filter(({ isReversed }) => !isReversed)
    .map(({ ohm }) => ohm)
  expect(values).toEqual([4300, 4700])
})

test('spellings of the same colour mean the same', () => {
  expect(decodeBands(['gray', 'red', 'brown', 'gold'])[0]!.ohm).toBe(
    decodeBands(['grey', 'red', 'brown', 'gold'])[0]!.ohm,
  )
  expect(COLOUR_NAMES).toHaveLength(13)
})

describe('codes are read back as they were written', () => {
  const value = fc
    .tuple(fc.constantFrom(...seriesValues('E96')), fc.integer({ min: -2, max: 4 }))
    .map(([mantissa, power]) => Number(`${mantissa}e${power}`))

  test('colour bands of every 1 % value', () => {
    fc.assert(
      fc.property(value, (ohm) => {
        const bands = encodeBands(ohm, 0.01)!
        expect(decodeBands(bands).some((found) => !found.isReversed && Math.abs(found.ohm / ohm - 1) < 1e-12)).toBe(
          true,
        )
      }),
    )
  })

  test('letters of every value and tolerance', () => {
    fc.assert(
      fc.property(value, fc.constantFrom(0.01, 0.02, 0.05, 0.1), (ohm, toleranceFraction) => {
        const read = decodeLetters(encodeLetters(ohm, toleranceFraction))!
        expect(read.ohm / ohm).toBeCloseTo(1, 5)
        expect(read.toleranceFraction).toBe(toleranceFraction)
      }),
    )
  })

  test.each([
    ['4K7J', 4700, 0.05],
    ['R47', 0.47, undefined],
    ['10R', 10, undefined],
    ['1M0F', 1e6, 0.01],
  ])('%s is %d ohm', (code, ohm, toleranceFraction) => {
    expect(decodeLetters(code)).toEqual({ ohm, ...(toleranceFraction === undefined ? {} : { toleranceFraction }) })
  })
})

test('the nearest preferred value of a preferred value is itself, in every series and decade', () => {
  for (const series of SERIES)
    for (const mantissa of seriesValues(series)) {
      const ohm = mantissa * 10
      expect(nearestPreferred(ohm, series)).toBeCloseTo(ohm, 9)
      expect(isPreferred(ohm, series)).toBe(true)
    }
})

test('a wanted value is made of what is at hand, nearest first', () => {
  const { combinations } = identifyResistor({ ohm: 5000, stockOhm: [10_000, 4700, 1000] })
  expect(combinations![0]).toMatchObject({ parts: [10_000, 10_000], how: 'parallel', ohm: 5000 })
})

test('a reading that no part gives says so', () => {
  const { fitted, warnings } = identifyResistor({
    measured: { ohm: 5120, boundOhm: 20 },
    fittedOhm: [4700, 5600],
    toleranceFraction: 0.01,
  })
  expect(fitted!.verdict).toBe('not-a-lone-part')
  expect(warnings.map(({ code }) => code)).toContain('NOT_A_LONE_PART')
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
