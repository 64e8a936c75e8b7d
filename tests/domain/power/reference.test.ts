import { readFileSync } from 'node:fs'
import { afterAll, expect, test } from 'vitest'
import { DUTIES } from '../../../src/domain/power/duties.ts'
import { largestRechargeableAh, netChargeCurrentA } from '../../../src/domain/power/recharge.ts'
import { type SizingInput, sizeBattery } from '../../../src/domain/power/size-battery.ts'
import { nextSizeAh } from '../../../src/domain/power/standard-sizes.ts'
import { deratedCapacityAh, loadChargeAh, sectionCapacityAh } from '../../../src/domain/power/standby-capacity.ts'
import { temperatureFactor } from '../../../src/domain/power/temperature-factor.ts'

interface Row {
  id: string
  given: Record<string, any>
  expected: Record<string, any>
  tolerance_note: string
}
const rows: Row[] = JSON.parse(readFileSync('tests/reference/power/standby-size.json', 'utf8'))
const row = (id: string): Row => rows.find((candidate) => candidate.id === id)!

let worstRelative = 0
let worstAt = ''
let worstOfTolerance = 0
let compared = 0

/** Half a unit in the last printed place; 1e-9 of the value where the row says that its decimals are exact. */
function agrees(id: string, actual: number, printed: string): void {
  const value = Number(printed)
  const decimals = printed.split('.')[1]?.length ?? 0
  const isExact = /exact/.test(row(id).tolerance_note)
  const tolerance = isExact ? 1e-9 * Math.max(1, Math.abs(value)) : 0.5 * 10 ** -decimals
  const error = Math.abs(actual - value)
  const relative = error / Math.abs(value || 1)
  compared++
  worstOfTolerance = Math.max(worstOfTolerance, error / tolerance)
  if (relative > worstRelative) [worstRelative, worstAt] = [relative, `${id}: ${actual} against ${printed}`]
  expect(error, `${id}: ${actual} against ${printed}`).toBeLessThanOrEqual(tolerance * (1 + 1e-9))
}

afterAll(() => {
  console.info(
    `standby size: ${compared} values, worst relative error ${worstRelative.toExponential(2)} (${worstAt}), at most ${worstOfTolerance.toFixed(3)} of the tolerance`,
  )
})

const profile = ({ given }: Row) => ({
  standbyCurrentA: given.standbyCurrentA as number,
  standbyDurationHours: given.standbyDurationHours as number,
  alarmCurrentA: (given.alarmCurrentA ?? 0) as number,
  alarmDurationHours: (given.alarmDurationHours ?? (given.alarmDurationMinutes ?? 0) / 60) as number,
})

function sizing({ given }: Row, more: Partial<SizingInput> = {}): SizingInput {
  const { standbyCurrentA, alarmCurrentA } = given
  const load = { quantity: 1, standbyCurrentA, ...(alarmCurrentA === undefined ? {} : { alarmCurrentA }) }
  return { loads: [load], nominalVoltageV: 12, method: 'load-charge', ...more }
}
const duty = (id: string) => DUTIES.find((candidate) => candidate.id === id)!

test('load charges agree with the worked examples', () => {
  for (const id of ['size-01', 'size-05', 'size-06', 'size-15'])
    agrees(id, loadChargeAh(profile(row(id))), row(id).expected.loadChargeAh)
})

test('the margin of each edition is applied once, without a second allowance for ageing', () => {
  const at = (edition: string, id: string) =>
    sizeBattery(sizing(row(id), { duty: duty(`nfpa-72-protected-premises-${edition}`) })).requiredCapacityAh
  agrees('size-01', at('2019', 'size-01'), row('size-01').expected.requiredCapacityAh)
  agrees('size-04', at('2019', 'size-04'), row('size-04').expected.requiredCapacityAh_edition2019)
  agrees('size-04', at('2022', 'size-04'), row('size-04').expected.requiredCapacityAh_edition2022)
})

test('a household fire alarm takes the next listed size', () => {
  const { given, expected } = row('size-06')
  const size = sizeBattery(sizing(row('size-06'), { duty: duty('nfpa-72-household'), sizesAh: given.standardSizesAh }))
  agrees('size-06', size.requiredCapacityAh, expected.requiredCapacityAh)
  expect(String(size.recommended?.capacityAh)).toBe(expected.nextStandardSizeAh)
  expect(nextSizeAh(Number(expected.requiredCapacityAh), given.standardSizesAh)).toBe(7)
})

test('the de-rated alarm form agrees on both sides of the rule', () => {
  for (const id of ['size-02', 'size-13']) {
    const { given, expected } = row(id)
    const { capacityAh, alarmDerating } = deratedCapacityAh(profile(row(id)), given.ageingFactor)
    agrees(id, capacityAh, expected.requiredCapacityAh)
    expect(String(alarmDerating)).toBe(expected.alarmDeratingFactor)
    const size = sizeBattery(sizing(row(id), { duty: duty('bs-5839-1-l-m') }))
    agrees(id, size.requiredCapacityAh, expected.requiredCapacityAh)
  }
})

test('durations by grade and reporting agree, with their charges', () => {
  const { expected } = row('size-07')
  const hours = (id: string) => String(duty(`en-50131-1-a-${id}`).standbyHours)
  expect(hours('grade-1-2')).toBe(expected.grade1Hours)
  expect(hours('grade-1-2')).toBe(expected.grade2Hours)
  expect(hours('grade-3-4')).toBe(expected.grade3Hours)
  expect(hours('grade-3-4')).toBe(expected.grade4Hours)
  expect(hours('grade-3-4-reported')).toBe(expected.grade3ReportedHours)
  const charge = (id: string) => sizeBattery(sizing(row('size-07'), { duty: duty(`en-50131-1-a-${id}`) })).loadChargeAh
  agrees('size-07', charge('grade-1-2'), expected.grade2ChargeAh)
  agrees('size-07', charge('grade-3-4'), expected.grade3ChargeAh)
  agrees('size-07', charge('grade-3-4-reported'), expected.grade3ReportedChargeAh)
})

test('durations of the government criteria agree, with their charges', () => {
  const { expected } = row('size-08')
  const at = (id: string) => sizeBattery(sizing(row('size-08'), { duty: duty(id) }))
  expect(String(at('ufc-4-021-02-intrusion').load.standbyDurationHours)).toBe(expected.minimumDurationHours)
  agrees('size-08', at('ufc-4-021-02-intrusion').loadChargeAh, expected.chargeAh)
  expect(String(at('ufc-4-021-02-compartment').load.standbyDurationHours)).toBe(
    expected.specialCompartmentDurationHours,
  )
  agrees('size-08', at('ufc-4-021-02-compartment').loadChargeAh, expected.specialCompartmentChargeAh)
})

test('temperature, ageing and design factors multiply', () => {
  const { given, expected } = row('size-09')
  agrees('size-09', temperatureFactor(given.electrolyteTemperatureC), expected.temperatureFactor)
  const size = sizeBattery({
    loads: [{ quantity: 1, standbyCurrentA: given.loadChargeAh }],
    standbyHours: 1,
    temperatureC: given.electrolyteTemperatureC,
    ageingFactor: given.ageingFactor,
    designFactor: given.designFactor,
    nominalVoltageV: 12,
    method: 'load-charge',
  })
  agrees('size-09', size.requiredCapacityAh, expected.requiredCapacityAh)
})

test('every row of the temperature table comes back from degrees Celsius, and between rows it is linear', () => {
  const { given, expected } = row('table-kt-size')
  const celsius = (fahrenheit: number) => ((fahrenheit - 32) * 5) / 9
  given.temperatureF.forEach((fahrenheit: number, index: number) => {
    agrees('table-kt-size', temperatureFactor(celsius(fahrenheit)), expected.factor[index])
  })
  expect(given.temperatureF).toHaveLength(37)
  agrees('size-10', temperatureFactor(celsius(row('size-10').given.electrolyteTemperatureF)), '1.1740')
})

test('the section method agrees, and counts more than plain ampere-hours for a heavy alarm', () => {
  for (const id of ['size-14', 'size-16']) {
    const { given, expected } = row(id)
    const capacityAh = sectionCapacityAh(given.periods, given.peukertExponent)
    agrees(id, capacityAh, expected.uncorrectedCapacityAh)
    agrees(id, sectionCapacityAh(given.periods.slice(0, 1), given.peukertExponent), expected.section1Ah)
  }
})

test('the charging current for the limit agrees', () => {
  const { given, expected } = row('charge-04')
  given.limitHours.forEach((hours: number, index: number) => {
    const { capacityAh, targetFraction, chargeEfficiencyFraction } = given
    const currentA = capacityAh / largestRechargeableAh(1, hours, targetFraction, chargeEfficiencyFraction)
    agrees('charge-04', currentA, expected.requiredCurrentA[index])
  })
  const shared = row('charge-03')
  shared.given.loadCurrentA.forEach((loadA: number, index: number) => {
    const netA = netChargeCurrentA(shared.given.supplyCurrentA, shared.given.chargeLimitA, loadA)
    agrees('charge-03', netA, shared.expected.netChargeCurrentA[index])
  })
})

test('refuses what the contract refuses, with the field at fault', () => {
  for (const id of ['size-refuse-1', 'size-refuse-2', 'size-refuse-3']) {
    const { given, expected } = row(id)
    const load = { ...profile(row(id)), standbyDurationHours: Number(given.standbyDurationHours) }
    const compute = () =>
      given.ageingFactor === undefined
        ? loadChargeAh(load)
        : sizeBattery(sizing(row(id), { standbyHours: 24, ageingFactor: given.ageingFactor }))
    expect(compute).toThrow(
      expect.objectContaining({
        code: expected.errorCode,
        detail: expect.objectContaining({ path: `/${expected.path}` }),
      }),
    )
  }
  const { given, expected } = row('temp-refuse-1')
  expect(() => temperatureFactor(given.electrolyteTemperatureC)).toThrow(
    expect.objectContaining({ code: expected.reason }),
  )
})
