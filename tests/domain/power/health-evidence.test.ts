import { afterAll, describe, expect, test } from 'vitest'
import { testedCapacityFraction } from '../../../src/domain/power/capacity-test.ts'
import { loadTestFinding, outageFinding } from '../../../src/domain/power/health-evidence.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/power/health-evidence.json')
afterAll(() => printed.report('health evidence'))

const rated = { capacityAh: 7, durationHours: 20, nominalVoltageV: 12 }
const outage = { loadCurrentA: 0.42, elapsedHours: 9, endedBy: 'battery-low' as const }
const refusalAt = (path: string) => expect.objectContaining({ detail: expect.objectContaining({ path }) })

test('mains that come back first leave the bound that is printed, and no estimate', () => {
  const { given, expected } = printed.row('soh-03')
  const { loadCurrentA, elapsedHours, ratedCapacityAh } = given as Record<string, number>
  const finding = outageFinding(
    { loadCurrentA: loadCurrentA!, elapsedHours: elapsedHours!, endedBy: 'mains-restored' },
    { ...rated, capacityAh: ratedCapacityAh! },
    25,
  )
  printed.agrees('soh-03', finding.atLeastFraction! * ratedCapacityAh!, expected.deliveredAhAtLeast)
  printed.agrees('soh-03', finding.atLeastFraction!, expected.healthFractionAtLeast)
  expect(finding.estimate).toBeUndefined()
})

test('factors of the time-adjusted capacity test agree with the table', () => {
  const { given, expected } = printed.row('table-kt-time')
  given.temperatureF.forEach((temperature: number, row: number) =>
    // The share that 1 h of a rated hour shows is 1 / factor.
    printed.agrees(
      'table-kt-time',
      1 / testedCapacityFraction(1, 1, ((temperature - 32) * 5) / 9),
      expected.factor[row],
    ),
  )
})

describe('a number that is none, or cannot be, is refused', () => {
  test.each([
    ['elapsedUncertaintyHours', Number.NaN, '/outages/0/elapsedUncertainty'],
    ['loadCurrentRelativeUncertainty', -0.1, '/outages/0/loadCurrentRelativeUncertainty'],
    ['hoursOnMainsBefore', Number.POSITIVE_INFINITY, '/outages/0/onMainsBefore'],
  ])('for %s of an outage', (field, value, path) => {
    expect(() => outageFinding({ ...outage, [field]: value }, rated, 25)).toThrow(refusalAt(path))
  })

  test.each([Number.NaN, -1, 40])('for %s V after half an hour of a load test', (voltageAfter30MinV) => {
    expect(() => loadTestFinding({ voltageAfter5MinV: 12.4, voltageAfter30MinV }, rated)).toThrow(
      refusalAt('/loadTest/voltageAfter30Min'),
    )
  })
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
