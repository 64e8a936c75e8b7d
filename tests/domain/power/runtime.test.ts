import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { batteryRuntime } from '../../../src/domain/power/battery-runtime.ts'
import {
  peukertExponentFrom,
  ratedCapacityAhPeukert1897,
  runtimeHoursPeukert1897,
} from '../../../src/domain/power/peukert.ts'
import { capacityShareAtDuration, runtimeHoursRateTable } from '../../../src/domain/power/rate-table.ts'
import { lastsUnder } from '../../../src/domain/power/runtime-models.ts'
import { sizeBattery } from '../../../src/domain/power/size-battery.ts'
import { capacityTemperatureFactor, capacityTemperatureRange } from '../../../src/domain/power/temperature-capacity.ts'
import { fullWells, wellsAfter } from '../../../src/domain/power/two-well.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/power/runtime.json')
afterAll(() => printed.report('runtime'))

describe('published and analytic values', () => {
  test("Peukert's relation", () => {
    for (const id of ['run-01', 'run-02', 'run-03']) {
      const { given, expected } = printed.row(id)
      const currents: number[] = [given.dischargeCurrentA].flat()
      const hours: string[] = [expected.runtimeHours].flat()
      currents.forEach((current, index) => {
        const actual = runtimeHoursPeukert1897(
          given.ratedCapacityAh,
          given.ratedDurationHours,
          current,
          given.peukertExponent,
        )
        printed.agrees(id, actual, hours[index]!)
        if (expected.deliveredAh) printed.agrees(id, actual * current, [expected.deliveredAh].flat()[index])
      })
    }
  })

  test('its inverse and the exponent of two tests', () => {
    const { given, expected } = printed.row('run-04')
    const { dischargeCurrentA, runtimeHours, ratedDurationHours, peukertExponent } = given
    printed.agrees(
      'run-04',
      ratedCapacityAhPeukert1897(dischargeCurrentA, runtimeHours, ratedDurationHours, peukertExponent),
      expected.ratedCapacityAh,
    )
    for (const id of ['run-05', 'run-06']) {
      const { currentA, durationHours } = printed.row(id).given
      const [first, second] = [0, 1].map((at) => ({ currentA: currentA[at], durationHours: durationHours[at] }))
      printed.agrees(id, peukertExponentFrom(first!, second!), printed.row(id).expected.peukertExponent)
    }
  })

  test('the two bounds of a load that changes', () => {
    const { given, expected } = printed.row('run-07')
    const carried = { capacityAh: 7, ratedDurationHours: 20, exponent: given.peukertExponent }
    const phases = [
      { currentA: given.standbyCurrentA, hours: given.standbyDurationHours },
      { currentA: given.alarmCurrentA, hours: Number.POSITIVE_INFINITY },
    ]
    const alarmHours = (model: 'peukert-least' | 'peukert-most') =>
      (lastsUnder(model, phases, carried) as { hours: number }).hours - given.standbyDurationHours
    printed.agrees('run-07', alarmHours('peukert-least'), expected.alarmHoursLower)
    printed.agrees('run-07', alarmHours('peukert-most'), expected.alarmHoursUpper)
  })

  test('the rate table at its rows', () => {
    const { given, expected } = printed.row('table-rate')
    given.durationHours.forEach((hours: number, index: number) => {
      printed.agrees('table-rate', capacityShareAtDuration(hours)!, expected.fractionOf20h[index])
      printed.agrees('table-rate', runtimeHoursRateTable(40, Number(expected.dischargeCurrentA[index]))!, String(hours))
    })
  })

  test('the temperature table at and between its rows', () => {
    const { given, expected } = printed.row('table-temp-capacity')
    given.temperatureC.forEach((temperature: number, row: number) =>
      given.rateHours.forEach((hours: string, column: number) =>
        printed.agrees(
          'table-temp-capacity',
          capacityTemperatureFactor(temperature, Number(hours)),
          expected.factor[row][column],
        ),
      ),
    )
    printed.agrees('run-09', capacityTemperatureFactor(5, 20), printed.row('run-09').expected.capacityFactor)
  })

  test('what has no runtime is refused, or says why', () => {
    const ofRow = (id: string) => {
      const { ratedCapacityAh, dischargeCurrentA, peukertExponent } = printed.row(id).given
      return { ratedCapacityAh, standbyCurrentA: dischargeCurrentA, exponent: peukertExponent }
    }
    expect(() => batteryRuntime(ofRow('run-refuse-1'))).toThrow(expect.objectContaining({ code: 'NO_LOAD' }))
    const beyond = batteryRuntime(ofRow('run-refuse-2')).models.find(({ model }) => model === 'rate-table')!
    expect(beyond.reason).toBe(printed.row('run-refuse-2').expected.reason)
    expect(() => batteryRuntime(ofRow('run-refuse-3'))).toThrow(
      expect.objectContaining({
        code: 'QUANTITY_OUT_OF_RANGE',
        detail: expect.objectContaining({ path: '/exponent' }),
      }),
    )
  })

  test('a general data sheet lies within the range of capacity by temperature', () => {
    const { given, expected } = printed.row('run-11')
    given.temperatureC.slice(0, 3).forEach((temperature: number, index: number) => {
      const { low, high } = capacityTemperatureRange(temperature, 20)
      const printedShare = Number(expected.capacityPercent[index]) / 100
      expect(low).toBeLessThanOrEqual(printedShare)
      expect(high).toBeGreaterThanOrEqual(printedShare)
    })
  })

  test('the two wells', () => {
    for (const id of ['run-08', 'run-12']) {
      const { given, expected } = printed.row(id)
      const shape = { availableFraction: given.availableFraction, ratePerHour: given.ratePerHour }
      const total = given.totalChargeAh
      const wells =
        total === undefined
          ? { available: given.availableWellAh, bound: given.boundWellAh }
          : { available: total * given.availableFraction, bound: total * (1 - given.availableFraction) }
      const after = wellsAfter(wells, given.dischargeCurrentA, given.durationHours, shape)
      printed.agrees(id, after.available, expected.availableWellAh)
      printed.agrees(id, after.bound, expected.boundWellAh)
    }
  })
})

describe('the two wells', () => {
  test('agree with small steps of their own differential equations', () => {
    const [c, k, current] = [0.315, 1.24, 0.5]
    const wells = fullWells(7, 20)
    let { available, bound } = wells
    const steps = 200_000
    const step = 6 / steps
    for (let index = 0; index < steps; index++) {
      const flow = k * ((1 - c) * available - c * bound) * -1
      available += step * (flow - current)
      bound -= step * flow
    }
    const exact = wellsAfter(wells, current, 6)
    expect(exact.available).toBeCloseTo(available, 3)
    expect(exact.bound).toBeCloseTo(bound, 3)
  })

  test('give the rated capacity at the rated time', () => {
    const wells = wellsAfter(fullWells(7, 20), 0.35, 20)
    expect(wells.available).toBeCloseTo(0, 9)
  })
})

const battery = fc.record({
  ratedCapacityAh: fc.double({ min: 1, max: 100, noNaN: true }),
  share: fc.double({ min: 0.002, max: 0.3, noNaN: true }),
  temperatureC: fc.double({ min: -9, max: 35, noNaN: true }),
  capacityFraction: fc.double({ min: 0.3, max: 1, noNaN: true }),
})
const runOf = ({
  ratedCapacityAh,
  share,
  ...rest
}: {
  ratedCapacityAh: number
  share: number
  temperatureC: number
  capacityFraction: number
}) => batteryRuntime({ ratedCapacityAh, standbyCurrentA: ratedCapacityAh * share, ...rest })

describe('the time a battery lasts', () => {
  test('never grows with load, age or cold, and is a range', () => {
    fc.assert(
      fc.property(battery, (one) => {
        const { standby } = runOf(one)
        expect(standby.lowHours).toBeLessThanOrEqual(standby.highHours)
        const least = (change: Partial<typeof one>) => runOf({ ...one, ...change }).standby.lowHours
        const tolerance = 1 + 1e-9
        expect(least({ share: one.share * 1.2 })).toBeLessThanOrEqual(standby.lowHours * tolerance)
        expect(least({ capacityFraction: one.capacityFraction * 0.8 })).toBeLessThanOrEqual(
          standby.lowHours * tolerance,
        )
        expect(least({ temperatureC: Math.max(-9.4, one.temperatureC - 5) })).toBeLessThanOrEqual(
          standby.lowHours * tolerance,
        )
      }),
      { numRuns: 100 },
    )
  })

  test('is shorter when the alarm rings, and shorter still when the alarm must be kept', () => {
    fc.assert(
      fc.property(battery, fc.double({ min: 0.05, max: 2, noNaN: true }), (one, hours) => {
        const standbyCurrentA = one.ratedCapacityAh * one.share
        const { standby, ifItRings, keepingAlarm } = batteryRuntime({
          ...one,
          standbyCurrentA,
          alarm: { currentA: 3 * standbyCurrentA, hours },
        })
        expect(ifItRings!.lowHours).toBeLessThanOrEqual(standby.lowHours * (1 + 1e-9))
        expect(keepingAlarm!.lowHours).toBeLessThanOrEqual(standby.lowHours * (1 + 1e-9))
      }),
      { numRuns: 60 },
    )
  })

  test('is not lengthened at either end by load, age, cold or an alarm, up to twice the capacity as current', () => {
    const wide = fc.record({
      ratedCapacityAh: fc.double({ min: 1, max: 30, noNaN: true }),
      share: fc.double({ min: 0.002, max: 2, noNaN: true }),
      temperatureC: fc.double({ min: -9, max: 35, noNaN: true }),
      capacityFraction: fc.double({ min: 0.3, max: 1, noNaN: true }),
      alarmTimes: fc.double({ min: 1, max: 8, noNaN: true }),
      alarmHours: fc.double({ min: 0.001, max: 2, noNaN: true }),
    })
    const run = ({ alarmTimes, alarmHours, ...one }: typeof wide extends fc.Arbitrary<infer T> ? T : never) => {
      const currentA = one.ratedCapacityAh * one.share * alarmTimes
      const { standby, ifItRings, keepingAlarm } = batteryRuntime({
        ratedCapacityAh: one.ratedCapacityAh,
        standbyCurrentA: one.ratedCapacityAh * one.share,
        temperatureC: one.temperatureC,
        capacityFraction: one.capacityFraction,
        alarm: { currentA, hours: alarmHours },
      })
      return [standby, ifItRings!, keepingAlarm!].flatMap(({ lowHours, highHours }) => [lowHours, highHours])
    }
    let worst = 0
    fc.assert(
      fc.property(wide, (one) => {
        const times = run(one)
        const harsher = [
          run({ ...one, share: one.share * 1.1 }),
          run({ ...one, capacityFraction: one.capacityFraction * 0.9 }),
          run({ ...one, temperatureC: Math.max(-9.4, one.temperatureC - 2) }),
          run({ ...one, alarmHours: one.alarmHours * 1.1 }),
          // An alarm first, against standby alone.
          [...times.slice(2, 4), ...times.slice(2)],
        ]
        for (const harsh of harsher)
          harsh.forEach((hours, at) => {
            worst = Math.max(worst, hours / Math.max(times[at]!, 1e-9) - 1)
            expect(hours).toBeLessThanOrEqual(times[at]! * (1 + 1e-9) + 1e-12)
          })
      }),
      { numRuns: 120 },
    )
    console.info(`runtime: largest lengthening by a harsher case ${worst.toExponential(2)}`)
  })

  test('of the recommended battery keeps standby and alarm as sized, when both count plain charge', () => {
    const amperes = fc.double({ min: 0.05, max: 1, noNaN: true })
    fc.assert(
      fc.property(
        amperes,
        amperes,
        fc.double({ min: 4, max: 72, noNaN: true }),
        (standbyCurrentA, more, standbyHours) => {
          const alarmCurrentA = standbyCurrentA + more
          const size = sizeBattery({
            loads: [{ quantity: 1, standbyCurrentA, alarmCurrentA }],
            standbyHours,
            alarmHours: 0.5,
            nominalVoltageV: 12,
            method: 'load-charge',
            ageingFactor: 1,
            designFactor: 1,
          })
          const carried = { capacityAh: size.requiredCapacityAh, ratedDurationHours: 20, exponent: 1 }
          const phases = [
            { currentA: standbyCurrentA, hours: standbyHours },
            { currentA: alarmCurrentA, hours: Number.POSITIVE_INFINITY },
          ]
          for (const model of ['peukert-least', 'peukert-most'] as const) {
            const { hours } = lastsUnder(model, phases, carried) as { hours: number }
            expect(hours).toBeGreaterThanOrEqual((standbyHours + 0.5) * (1 - 1e-9))
          }
        },
      ),
      { numRuns: 200 },
    )
  })

  test('of the battery that a sizing by sections asks for is at least the time that was asked for', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 2, noNaN: true }),
        fc.double({ min: 4, max: 72, noNaN: true }),
        (standbyCurrentA, standbyHours) => {
          const load = [{ quantity: 1, standbyCurrentA }]
          const size = sizeBattery({
            loads: load,
            standbyHours,
            nominalVoltageV: 12,
            method: 'sections',
            ageingFactor: 1,
            designFactor: 1,
          })
          const carried = { capacityAh: size.requiredCapacityAh, ratedDurationHours: 20, exponent: 1.15 }
          const phases = [{ currentA: standbyCurrentA, hours: Number.POSITIVE_INFINITY }]
          const { hours } = lastsUnder('peukert-least', phases, carried) as { hours: number }
          expect(hours).toBeGreaterThanOrEqual(standbyHours * (1 - 1e-9))
        },
      ),
      { numRuns: 200 },
    )
  })
})

describe('what cannot be answered', () => {
  test('a battery without load has no number', () => {
    expect(() => batteryRuntime({ ratedCapacityAh: 7, standbyCurrentA: 0 })).toThrow(
      expect.objectContaining({ code: 'NO_LOAD' }),
    )
  })

  test('a current beyond the rate table is left to the other models, with the reason', () => {
    const { models, standby } = batteryRuntime({ ratedCapacityAh: 40, standbyCurrentA: 80 })
    expect(models.find(({ model }) => model === 'rate-table')).toMatchObject({ reason: 'RATE_BEYOND_TABLE' })
    expect(standby.lowHours).toBeGreaterThan(0)
  })

  test('every mistake is named at once', () => {
    const wrong = { ratedCapacityAh: -7, standbyCurrentA: Number.NaN, exponent: 0.9, temperatureC: 90 }
    try {
      batteryRuntime(wrong)
      expect.unreachable()
    } catch (error) {
      const all = [error, ...(error as { also: unknown[] }).also] as { detail: { path: string } }[]
      expect(all.map(({ detail }) => detail.path)).toEqual([
        '/ratedCapacity',
        '/standbyCurrent',
        '/exponent',
        '/temperature',
      ])
    }
  })
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
