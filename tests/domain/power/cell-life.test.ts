import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { averageCurrentUA, cellLife, cellLifeYears, warmShelfLoss } from '../../../src/domain/power/cell-life.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/power/cells.json')
afterAll(() => printed.report('primary cells'))

test('lives agree with the check values', () => {
  for (const id of ['cell-05', 'cell-07', 'cell-08']) {
    const { given, expected } = printed.row(id)
    const average = averageCurrentUA(given.sleepCurrentUA, given.eventsPerDay, given.chargePerEventUAh)
    if (expected.averageCurrentUA) printed.agrees(id, average, expected.averageCurrentUA)
    const { capacityMAh, usableFraction, selfDischargePerYearFraction } = given
    printed.agrees(
      id,
      cellLifeYears(capacityMAh, usableFraction, average, selfDischargePerYearFraction),
      expected.lifeYears,
    )
  }
  const { given, expected } = printed.row('cell-03')
  printed.agrees('cell-03', cellLifeYears(given.capacityMAh, 1, given.averageCurrentUA, 0), expected.lifeYears)
})

test('a published beacon draws the average current and lives the hours that are printed', () => {
  const { given, expected } = printed.row('cell-01')
  const [active, sleep] = given.states
  const pulsesPerDay = 86_400
  const chargeUAh = (active.currentUA * active.durationS) / 3600
  printed.agrees('cell-01', averageCurrentUA(0, pulsesPerDay, chargeUAh), expected.activeShareUA)
  const average = averageCurrentUA(sleep.currentUA * sleep.durationS, pulsesPerDay, chargeUAh)
  // Current and months are printed rounded, so half a unit; the hours go on from the rounded 24 uA and are exact.
  expect(Math.abs(average - Number(expected.averageCurrentUA))).toBeLessThanOrEqual(0.5)
  const years = cellLifeYears(given.capacityMAh, 1, Number(expected.averageCurrentUA), 0)
  printed.agrees('cell-01', years * 8766, expected.lifeHours)
  expect(Math.abs(years * 12 - Number(expected.lifeMonths))).toBeLessThanOrEqual(0.5)
})

test('sag of a pulse agrees with the check values', () => {
  for (const id of ['cell-04', 'cell-09']) {
    const { given, expected } = printed.row(id)
    const sags: string[] = [expected.sagMV].flat()
    ;[given.internalResistanceOhm].flat().forEach((internalResistanceOhm: number, index: number) => {
      const pulse = { pulseCurrentMA: given.pulseCurrentMA, internalResistanceOhm }
      const { pulseSagMV } = cellLife({ ...device, ...pulse })
      printed.agrees(id, pulseSagMV!, sags[index]!)
    })
  }
})

const device = { designation: 'CR123A', sleepCurrentUA: 12, eventsPerDay: 60, chargePerEventUAh: 1.2 }

describe('the months a cell lasts', () => {
  test('are a range, shorter with more events and in the cold', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 5000, noNaN: true }),
        fc.double({ min: -20, max: 20, noNaN: true }),
        (eventsPerDay, temperatureC) => {
          const of = (change: object) => cellLife({ ...device, eventsPerDay, temperatureC, ...change }).months
          const { low, high } = of({})
          expect(low).toBeLessThan(high + 1e-9)
          expect(of({ eventsPerDay: eventsPerDay * 1.5 }).low).toBeLessThanOrEqual(low + 1e-9)
          expect(of({ temperatureC: temperatureC - 10 }).low).toBeLessThanOrEqual(low + 1e-9)
        },
      ),
    )
  })

  test('are shorter in the heat, which doubles the shelf loss each 10 degrees', () => {
    const at = (temperatureC: number) => cellLife({ ...device, designation: 'LR6', temperatureC })
    expect(at(40).months.high).toBeLessThan(at(25).months.high)
    expect(at(25).months.low).toBeLessThan(at(20).months.low)
    expect(at(40).selfDischargeCurrentUA.low / at(20).selfDischargeCurrentUA.low).toBeCloseTo(4, 9)
    expect(warmShelfLoss(0.01, -10)).toBe(0.01)
  })

  test('of a 3.6 V cell come with a warning that it fits where it must not go', () => {
    const codes = (designation: string) => cellLife({ ...device, designation }).warnings.map(({ code }) => code)
    expect(codes('ER14505')).toContain('SAME_SIZE_OTHER_VOLTAGE')
    expect(codes('FR14505')).not.toContain('SAME_SIZE_OTHER_VOLTAGE')
  })

  test('are not given for a voltage that is no number', () => {
    expect(() => cellLife({ ...device, nominalVoltageV: Number.NaN })).toThrow(
      expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }),
    )
  })

  test('end at ten years, whatever the sum says', () => {
    const { months, isCapped, warnings } = cellLife({ ...device, sleepCurrentUA: 0, eventsPerDay: 0 })
    expect([months.high, isCapped]).toEqual([120, true])
    expect(warnings.map(({ code }) => code)).toContain('CAPPED')
  })

  test('come with why voltage is a poor gauge of a lithium cell, and not for alkaline', () => {
    const codes = (designation: string) => cellLife({ ...device, designation }).warnings.map(({ code }) => code)
    expect(codes('CR2032')).toContain('VOLTAGE_IS_NO_GAUGE')
    expect(codes('LR6')).not.toContain('VOLTAGE_IS_NO_GAUGE')
  })
})

test('a designation that nobody knows is refused with those that are known', () => {
  expect(() => cellLife({ ...device, designation: 'XX99' })).toThrow(expect.objectContaining({ code: 'UNKNOWN_ID' }))
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
