import { afterAll, describe, expect, test } from 'vitest'
import { batteryHealth } from '../../../src/domain/power/battery-health.ts'
import { testedCapacityFraction } from '../../../src/domain/power/capacity-test.ts'
import { combineEstimates, dischargeHealth } from '../../../src/domain/power/discharge-health.ts'
import { internalResistanceOhm } from '../../../src/domain/power/internal-resistance.ts'
import { chargeByRestVoltage } from '../../../src/domain/power/rest-voltage.ts'
import { serviceLifeYears } from '../../../src/domain/power/service-life.ts'
import { normalUpperTail } from '../../../src/domain/readings/normal.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/power/health.json')
afterAll(() => printed.report('battery health'))

describe('published and analytic values', () => {
  test('health from an outage and its uncertainty', () => {
    const { given, expected } = printed.row('soh-01')
    const event = {
      loadCurrentA: given.loadCurrentA,
      loadCurrentRelativeUncertainty: 0.1,
      elapsedHours: given.elapsedHours,
      elapsedUncertaintyHours: 0.5,
      usedFraction: given.usedFractionAtSignal,
      usedFractionUncertainty: 0.08,
      temperatureFactor: 1,
      exponent: given.peukertExponent,
      ratedCapacityAh: given.ratedCapacityAh,
      ratedDurationHours: given.ratedDurationHours,
    }
    const { fraction, uncertainty } = dischargeHealth(event)
    printed.agrees('soh-01', fraction * given.ratedCapacityAh, expected.equivalentCapacityAh)
    printed.agrees('soh-01', fraction, expected.healthFraction)
    printed.agrees('soh-02', uncertainty / fraction, printed.row('soh-02').expected.relativeUncertainty)
  })

  test('chance of being below the criterion', () => {
    const { given, expected } = printed.row('soh-04')
    const below = 1 - normalUpperTail((given.limitFraction - given.healthFraction) / given.uncertainty)
    printed.agrees('soh-04', below, expected.probabilityBelow)
  })

  test('state of charge by two tables', () => {
    const { given, expected } = printed.row('ocv-01')
    const [vented, valveRegulated] = chargeByRestVoltage(given.restVoltageV)
    printed.agrees('ocv-01', 100 * vented!.fraction, expected.socPercent_bci)
    printed.agrees('ocv-01', 100 * valveRegulated!.fraction, expected.socPercent_agm)
    for (const [id, index] of [
      ['table-ocv-bci', 0],
      ['table-ocv-agm', 1],
    ] as const)
      printed
        .row(id)
        .expected.restVoltageV.forEach((volts: string, row: number) =>
          printed.agrees(
            id,
            100 * chargeByRestVoltage(Number(volts))[index]!.fraction,
            String(printed.row(id).given.socPercent[row]),
          ),
        )
  })

  test('service life by temperature', () => {
    printed.agrees('life-01', serviceLifeYears(10, 33, 8), printed.row('life-01').expected.lifeYears)
    printed.agrees('life-02', serviceLifeYears(5, 35, 8.3), printed.row('life-02').expected.lifeYears_step8_3)
    printed.agrees('life-02', serviceLifeYears(5, 35, 10), printed.row('life-02').expected.lifeYears_step10)
  })

  test('internal resistance and capacity tests', () => {
    const { given } = printed.row('ohm-01')
    const ohm = internalResistanceOhm(given.restVoltageV, given.loadedVoltageV, given.loadCurrentA)
    printed.agrees('ohm-01', ohm, printed.row('ohm-01').expected.internalResistanceOhm)
    for (const id of ['test-01', 'test-02', 'test-03']) {
      const { actualDurationHours, ratedDurationHours, electrolyteTemperatureF } = printed.row(id).given
      const temperatureC = electrolyteTemperatureF === undefined ? undefined : ((electrolyteTemperatureF - 32) * 5) / 9
      const fraction = testedCapacityFraction(actualDurationHours, ratedDurationHours, temperatureC)
      printed.agrees(id, 100 * fraction, printed.row(id).expected.capacityPercent)
    }
  })
})

const rated = { ratedCapacityAh: 7 }
const outage = { loadCurrentA: 0.42, elapsedHours: 9.5, endedBy: 'battery-low' as const, hoursOnMainsBefore: 72 }

describe('a verdict', () => {
  test('is "cannot tell" from a rest voltage alone, however high', () => {
    expect(batteryHealth({ ...rated, restVoltage: { voltageV: 12.9, restHours: 8 } }).verdict).toBe('cannot-tell')
  })

  test('is "worn" for a cell that is gone', () => {
    expect(batteryHealth({ ...rated, restVoltage: { voltageV: 10.3, restHours: 8 } }).verdict).toBe('worn')
  })

  test('is "worn" for an outage far short of the rating, with the range', () => {
    const { verdict, capacity } = batteryHealth({ ...rated, outages: [{ ...outage, elapsedHours: 3 }] })
    expect(verdict).toBe('worn')
    expect(capacity!.highFraction).toBeLessThan(0.8)
    expect(capacity!.probabilityBelowEndOfLife).toBeGreaterThan(0.97)
  })

  test('leans on no outage that began with a battery not full', () => {
    const { verdict, capacity } = batteryHealth({ ...rated, outages: [{ ...outage, hoursOnMainsBefore: 3 }] })
    expect([verdict, capacity]).toEqual(['cannot-tell', undefined])
  })

  test('takes the return of the mains as a bound only', () => {
    const { verdict, atLeastFraction } = batteryHealth({
      ...rated,
      outages: [{ ...outage, elapsedHours: 6, endedBy: 'mains-restored' }],
    })
    expect([verdict, atLeastFraction]).toEqual(['cannot-tell', expect.closeTo(0.36, 9)])
  })

  test('is "cannot tell" when outage and load test disagree', () => {
    const { verdict, because } = batteryHealth({
      ...rated,
      outages: [{ ...outage, elapsedHours: 3 }],
      loadTest: { voltageAfter5MinV: 12.6 },
    })
    expect([verdict, because]).toEqual(['cannot-tell', expect.stringContaining('disagrees')])
  })

  test('is "cannot tell" when one outage falls far short and another gave more than the criterion', () => {
    const { verdict } = batteryHealth({
      ...rated,
      outages: [
        { ...outage, elapsedHours: 3 },
        { ...outage, elapsedHours: 15, endedBy: 'mains-restored' },
      ],
    })
    expect(verdict).toBe('cannot-tell')
  })

  test('is not reached with mistakes, which are all named at once and where they stand', () => {
    try {
      batteryHealth({
        ...rated,
        outages: [outage, { ...outage, loadCurrentA: -1 }],
        restVoltage: { voltageV: -3, restHours: 8 },
        age: { ageYears: -1 },
      })
      expect.unreachable()
    } catch (error) {
      const all = [error, ...(error as { also: unknown[] }).also] as { detail: { path: string } }[]
      expect(all.map(({ detail }) => detail.path)).toEqual([
        '/outages/1/loadCurrent',
        '/restVoltage/voltage',
        '/age/age',
      ])
    }
  })

  test('of a 24 V set is that of its halves', () => {
    const of = (nominalVoltageV: 12 | 24, voltageAfter5MinV: number) =>
      batteryHealth({ ...rated, nominalVoltageV, loadTest: { voltageAfter5MinV } }).verdict
    expect([of(12, 11.5), of(24, 23)]).toEqual(['worn', 'worn'])
  })

  test('needs something to judge by', () => {
    expect(() => batteryHealth(rated)).toThrow(expect.objectContaining({ code: 'NO_EVIDENCE' }))
  })
})

test('two equal estimates together are as far apart from doubt as one with 1/sqrt 2 of it', () => {
  const one = { fraction: 0.7, uncertainty: 0.1 }
  const both = combineEstimates([one, one])
  expect(both.fraction).toBeCloseTo(0.7, 12)
  expect(both.uncertainty).toBeCloseTo(0.1 / Math.SQRT2, 12)
})

test('leads that are swapped or a charger that is still on are refused', () => {
  expect(() => internalResistanceOhm(12.5, 12.9, 5)).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
