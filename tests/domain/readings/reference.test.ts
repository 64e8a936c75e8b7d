import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { interpretReading } from '../../../src/domain/readings/interpret.ts'
import { meterBound, verdictAgainst } from '../../../src/domain/readings/meter-bound.ts'
import { freeSpaceLossDb, indoorLossDb, levelOfCsq, linkMarginDb } from '../../../src/domain/readings/radio-link.ts'
import {
  exposureCaution,
  exposureHoursOsha,
  exposureMinutesNiosh,
  levelAtDistance,
} from '../../../src/domain/readings/sound-level.ts'
import { thermistorOhm, thermistorTemperatureC } from '../../../src/domain/readings/temperature-sensor.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/readings/readings.json')
afterAll(() => printed.report('readings'))
const row = (id: string) => printed.row(`circuits-${id}`)

describe('published and analytic values', () => {
  test("a meter's limit of error", () => {
    const boundOf = ({ given }: ReturnType<typeof row>) =>
      meterBound(
        given.readingV ?? given.readingOhm,
        given.percent,
        given.counts,
        given.resolutionV ?? given.resolutionOhm,
      )
    printed.agrees('circuits-m01', boundOf(row('m01')), row('m01').expected.boundV)
    for (const id of ['m03', 'm04', 'm05']) {
      printed.agrees(`circuits-${id}`, row(id).given.readingV - boundOf(row(id)), row(id).expected.lowV)
      printed.agrees(`circuits-${id}`, row(id).given.readingV + boundOf(row(id)), row(id).expected.highV)
    }
    const { given, expected } = row('m06')
    const bound = boundOf(row('m06'))
    printed.agrees('circuits-m06', bound, expected.boundV)
    printed.agrees('circuits-m06', bound / Math.sqrt(3), expected.standardUncertaintyV)
    expect(verdictAgainst(given.readingV, bound, given.limitV)).toBe(expected.boundVerdict)
    printed.agrees('circuits-m09', boundOf(row('m09')), row('m09').expected.boundOhm)
  })

  test('radio paths and signal quality', () => {
    for (const id of ['f01', 'f02', 'f04'])
      printed.agrees(
        `circuits-${id}`,
        freeSpaceLossDb(row(id).given.frequencyMhz, row(id).given.distanceM),
        row(id).expected.lossDb,
      )
    printed.agrees('circuits-f08', indoorLossDb(915, 20, 33), row('f08').expected.lossDb)
    expect(levelOfCsq(0)).toEqual({ dbm: -113, is: 'at-most' })
    for (const csq of [1, 15])
      expect(levelOfCsq(csq)).toEqual({ dbm: Number(row(`c-csq${csq}`).expected.rssiDbm), is: 'exactly' })
    expect(levelOfCsq(31)).toEqual({ dbm: -51, is: 'at-least' })
    expect(levelOfCsq(99)).toEqual({ is: 'unknown' })
    expect(() => levelOfCsq(45)).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
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
    expect(thermistorOhm(10_000, 3977, 0) / Number(row('k01').expected.resistanceOhm)).toBeCloseTo(1, 3)
    printed.agrees('circuits-k03', thermistorTemperatureC(10_000, 3977, 25_400), row('k03').expected.temperatureC)
  })
})

test('resistance and temperature of a thermistor are inverse of each other', () => {
  fc.assert(
    fc.property(fc.double({ min: -40, max: 120, noNaN: true }), (temperature) => {
      expect(thermistorTemperatureC(10_000, 3950, thermistorOhm(10_000, 3950, temperature))).toBeCloseTo(temperature, 9)
    }),
  )
})

test('a loud siren is told to be left, a quiet one is not', () => {
  expect(exposureCaution(118)).toContain('do not stay')
  expect(exposureCaution(106)).toContain('3 minutes')
  expect(exposureCaution(70)).toContain('No limit')
})

test('a link margin adds what is sent and takes what is lost', () => {
  expect(linkMarginDb(-14.4, 2, 51.2 + 8, -105)).toBeCloseTo(33.4, 9)
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
