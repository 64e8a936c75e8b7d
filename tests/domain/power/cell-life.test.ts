import fc from 'fast-check'
import { afterAll, describe, expect, test } from 'vitest'
import { averageCurrentUA, cellLife, cellLifeYears, pulseSagMV } from '../../../src/domain/power/cell-life.ts'
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

test('sag of a pulse agrees with the check values', () => {
  for (const id of ['cell-04', 'cell-09']) {
    const { given, expected } = printed.row(id)
    const sags: string[] = [expected.sagMV].flat()
    ;[given.internalResistanceOhm]
      .flat()
      .forEach((ohm: number, index: number) => printed.agrees(id, pulseSagMV(given.pulseCurrentMA, ohm), sags[index]!))
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
