import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { interpretReading, limitOfError } from '../../../src/domain/readings/interpret.ts'
import { observed } from '../../../src/domain/readings/observed.ts'
import { levelOfSignalQuality } from '../../../src/domain/readings/signal-quality.ts'
import {
  exposureAt,
  exposureHoursOsha,
  exposureMinutesNiosh,
  levelAtDistance,
} from '../../../src/domain/readings/sound-level.ts'
import { thermistorTemperatureC } from '../../../src/domain/readings/temperature-sensor.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/readings/readings.json')
afterAll(() => printed.report('readings'))
const row = (id: string) => printed.row(`circuits-${id}`)

describe('published and analytic values', () => {
  test("a meter's limit of error", () => {
    const boundOf = ({ given }: ReturnType<typeof row>) =>
      limitOfError(given.readingV ?? given.readingOhm, {
        percentOfReading: given.percent,
        absolute: given.counts * (given.resolutionV ?? given.resolutionOhm),
      })
    printed.agrees('circuits-m01', boundOf(row('m01')), row('m01').expected.boundV)
    for (const id of ['m03', 'm04', 'm05']) {
      printed.agrees(`circuits-${id}`, row(id).given.readingV - boundOf(row(id)), row(id).expected.lowV)
      printed.agrees(`circuits-${id}`, row(id).given.readingV + boundOf(row(id)), row(id).expected.highV)
    }
    const { given, expected } = row('m06')
    const bound = boundOf(row('m06'))
    printed.agrees('circuits-m06', bound, expected.boundV)
    printed.agrees('circuits-m06', bound / Math.sqrt(3), expected.standardUncertaintyV)
    const { possible } = interpretReading({
      value: given.readingV,
      unit: 'V',
      meter: { percentOfReading: 0, absolute: bound },
      isMeterAssumed: false,
      edges: [given.limitV],
      bands: ['below', 'above'],
      validLow: 0,
      validHigh: 16,
    })
    expect(possible.length > 1 ? 'cannot tell' : possible[0]).toBe(expected.boundVerdict)
    printed.agrees('circuits-m09', boundOf(row('m09')), row('m09').expected.boundOhm)
  })

  test('signal quality', () => {
    const inWords = (csq: number) => {
      const { dbm, is } = levelOfSignalQuality(csq)
      return `${dbm}${{ exactly: '', 'at-most': ' or less', 'at-least': ' or greater' }[is]}`
    }
    for (const csq of [0, 1, 15, 31]) expect(inWords(csq)).toBe(row(`c-csq${csq}`).expected.rssiDbm)
    for (const csq of [row('c-csq99').given.csq, row('c-csqbad').given.csq, 3.5, -1])
      expect(() => levelOfSignalQuality(csq)).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
  })

  test('sound and how long it may be borne', () => {
    printed.agrees('circuits-n01', levelAtDistance(105, 3, 30), row('n01').expected.levelDb)
    printed.agrees('circuits-n02', levelAtDistance(120, 1, 3), row('n02').expected.levelDb)
    for (const level of [85, 100, 106, 120])
      printed.agrees(`circuits-n-niosh${level}`, exposureMinutesNiosh(level), row(`n-niosh${level}`).expected.minutes)
    for (const level of [80, 81, 83, 84, 85])
      printed.agrees(`circuits-n-osha${level}`, exposureHoursOsha(level), row(`n-osha${level}`).expected.hours)
  })

  test('thermistors', () => {
    expect(thermistorTemperatureC(10_000, 3977, Number(row('k01').expected.resistanceOhm))).toBeCloseTo(0, 1)
    printed.agrees('circuits-k03', thermistorTemperatureC(10_000, 3977, 25_400), row('k03').expected.temperatureC)
  })
})

test('resistance and temperature of a thermistor are inverse of each other', () => {
  fc.assert(
    fc.property(fc.double({ min: -40, max: 120, noNaN: true }), (temperature) => {
      const ohm = 10_000 * Math.exp(3950 * (1 / (temperature + 273.15) - 1 / 298.15))
      expect(thermistorTemperatureC(10_000, 3950, ohm)).toBeCloseTo(temperature, 9)
    }),
  )
})

test('an open and a shorted thermistor read as the ends of its scale', () => {
  expect(thermistorTemperatureC(10_000, 3977, 0)).toBe(300)
  expect(thermistorTemperatureC(10_000, 3977, 1e9)).toBe(-80)
})

test('a loud siren is told to be left, a quiet one is not', () => {
  expect(exposureAt(118).caution).toContain('do not stay')
  expect(exposureAt(106).caution).toContain('3 minutes')
  expect(exposureAt(70).caution).toContain('No limit')
})

test("an ohmmeter's error becomes one of the temperature", () => {
  const probe = { kind: 'thermistor', nominalOhm: 10_000, betaK: 3977 } as const
  const { value, absolute } = observed({ ...probe, ohm: 10_000, boundOhm: 100 })
  expect(value).toBeCloseTo(25, 9)
  // dT = T^2 / B x dR / R
  expect(absolute).toBeCloseTo((298.15 ** 2 / 3977) * 0.01, 3)
})

describe('a reading against its bands', () => {
  const input = {
    unit: 'V',
    isMeterAssumed: false,
    edges: [11.8, 12.4],
    bands: ['worn', 'low', 'sound'],
    validLow: 0,
    validHigh: 16,
  }
  const reading = fc.double({ min: 0.1, max: 15.9, noNaN: true })
  const meter = fc.record({
    percentOfReading: fc.double({ min: 0, max: 3, noNaN: true }),
    absolute: fc.double({ min: 1e-6, max: 0.5, noNaN: true }),
  })

  test('names every band that a true value within the limit of error lies in', () => {
    fc.assert(
      fc.property(reading, meter, fc.double({ min: -1, max: 1, noNaN: true }), (value, error, place) => {
        const { possible, low, high } = interpretReading({ ...input, value, meter: error })
        const truth = (low + high) / 2 + (place * (high - low)) / 2
        const band = input.bands[input.edges.filter((edge) => truth >= edge).length]!
        expect(possible).toContain(band)
      }),
    )
  })

  test('gives probabilities that sum to one', () => {
    fc.assert(
      fc.property(reading, meter, (value, error) => {
        const { probabilities } = interpretReading({ ...input, value, meter: error })
        expect(probabilities.reduce((sum, probability) => sum + probability, 0)).toBeCloseTo(1, 12)
      }),
    )
  })

  test('cannot tell near an edge, and says how near', () => {
    const { verdict, nearestEdge } = interpretReading({
      ...input,
      value: 12.36,
      meter: { percentOfReading: 0.5, absolute: 0.02 },
    })
    expect([verdict, nearestEdge!.value]).toEqual(['cannot-tell', 12.4])
  })
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
