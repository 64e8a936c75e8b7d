import { expect, test } from 'vitest'
import { DUTIES } from '../../../src/domain/power/duties.ts'
import { hoursGiven } from '../../../src/domain/power/hours-given.ts'
import { type SizingInput, sizeBattery } from '../../../src/domain/power/size-battery.ts'
import { temperatureFactor } from '../../../src/domain/power/temperature-factor.ts'

const base: SizingInput = {
  loads: [{ quantity: 1, standbyCurrentA: 0.2, alarmCurrentA: 0.8 }],
  standbyHours: 24,
  alarmHours: 0.25,
  nominalVoltageV: 12,
  method: 'load-charge',
}
const duty = (id: string) => DUTIES.find((candidate) => candidate.id === id)!
const codes = (input: SizingInput) => sizeBattery(input).warnings.map(({ code }) => code)
const withLoad = (standbyCurrentA: number, alarmCurrentA?: number): SizingInput => ({
  ...base,
  loads: [{ quantity: 1, standbyCurrentA, ...(alarmCurrentA === undefined ? {} : { alarmCurrentA }) }],
})
const refusal = (code: string, path: string) =>
  expect.objectContaining({ code, detail: expect.objectContaining({ path }) })

test('adds devices by their number', () => {
  const loads = [
    { quantity: 6, standbyCurrentA: 0.015 },
    { quantity: 1, standbyCurrentA: 0.12, alarmCurrentA: 0.25 },
  ]
  const { load } = sizeBattery({ ...base, loads })
  expect(load.standbyCurrentA).toBeCloseTo(0.21, 12)
  expect(load.alarmCurrentA).toBeCloseTo(0.34, 12)
})

test('takes a size that equals the requirement and goes up past it', () => {
  const at = (capacity: number) =>
    sizeBattery({ ...withLoad(capacity / 20), standbyHours: 20, alarmHours: 0, ageingFactor: 1 }).recommended
      ?.capacityAh
  expect(at(7)).toBe(7)
  expect(at(7.001)).toBe(7.2)
  expect(at(1.3)).toBe(2.2)
})

test('puts two 12 V blocks in series for 24 V and leaves their ampere-hours alone', () => {
  const at12 = sizeBattery(base).recommended!
  const at24 = sizeBattery({ ...base, nominalVoltageV: 24 }).recommended!
  expect(at24).toEqual({ ...at12, blockVoltageV: 12, inSeries: 2 })
  expect(sizeBattery({ ...base, nominalVoltageV: 6 }).recommended).toMatchObject({ blockVoltageV: 6, inSeries: 1 })
})

test('recommends nothing, with the reason, where charger or case allow less', () => {
  const size = sizeBattery({ ...base, limits: { maximumCapacityAh: 5 } })
  expect(size.recommended).toBeUndefined()
  expect(size.noneBecause).toContain('5 Ah')
  expect(size.decisionChangesAt).toBeUndefined()
  expect(hoursGiven(base, size.largestAllowedAh!).standbyHours).toBeCloseTo((5 / 1.25 - 0.2) / 0.2, 9)
})

test('lets a slow charger forbid a battery that it cannot restore in the time of the duty', () => {
  const slow = { chargeLimitA: 0.2, supplyCurrentA: 1 }
  // 0.2 A x 0.9 x 24 h / 0.8 = 5.4 Ah; in 72 h three times as much
  expect(sizeBattery({ ...base, limits: slow }).largestAllowedAh).toBeCloseTo(5.4, 9)
  const graded = { ...base, duty: duty('en-50131-1-a-grade-1-2'), limits: slow }
  expect(sizeBattery(graded).largestAllowedAh).toBeCloseTo(16.2, 9)
})

test('a margin of the duty and the same margin asked for count once, the larger', () => {
  const own = { ...base, duty: duty('nfpa-72-protected-premises-2022') }
  const factor = (input: SizingInput) => sizeBattery(input).requiredCapacityAh / sizeBattery(input).loadChargeAh
  expect(factor(own)).toBeCloseTo(1.25, 12)
  expect(factor({ ...own, ageingFactor: 1.2 })).toBeCloseTo(1.25, 12)
  expect(factor({ ...own, ageingFactor: 1.3 })).toBeCloseTo(1.3, 12)
  expect(factor({ ...own, designFactor: 1.1 })).toBeCloseTo(1.375, 12)
  expect(factor({ ...base, duty: duty('nfpa-72-protected-premises-2019'), designFactor: 1.1 })).toBeCloseTo(1.2, 12)
  expect(codes({ ...own, ageingFactor: 1.2 })).toContain('AGEING_COVERED_BY_DUTY')
  expect(codes(own)).not.toContain('AGEING_COVERED_BY_DUTY')
})

test('a duty with a rule of its own keeps it whatever method is asked for', () => {
  const input = { ...withLoad(0.2, 0.9), duty: duty('bs-5839-1-l-m'), alarmHours: 0.5 }
  expect(sizeBattery(input).requiredCapacityAh).toBeCloseTo(6.984375, 9)
  expect(codes(input)).toContain('METHOD_SET_BY_DUTY')
})

test('warns of each slip, and of none in a sound input', () => {
  expect(codes(base)).toEqual([])
  expect(codes(withLoad(0.2, 0.1))).toContain('ALARM_BELOW_STANDBY')
  expect(codes(withLoad(450, 900))).toContain('CURRENT_IMPLAUSIBLE')
  expect(codes({ ...base, alarmHours: 15 })).toContain('ALARM_TIME_IMPLAUSIBLE')
  expect(codes(withLoad(0.2, 3))).toContain('ALARM_CURRENT_HEAVY')
  expect(codes({ ...withLoad(0.2, 3), method: 'sections' })).not.toContain('ALARM_CURRENT_HEAVY')
  expect(codes({ ...withLoad(4, 5), standbyHours: 20 })).toContain('PARALLEL_BATTERIES')
  const { alarmHours: _, ...untimed } = base
  expect(codes({ ...untimed, duty: duty('en-50131-1-a-grade-1-2') })).toContain('ALARM_TIME_NOT_STATED')
  expect(codes({ ...base, duty: duty('nfpa-72-household'), standbyHours: 12 })).toContain('HOURS_BELOW_DUTY')
  expect(codes({ ...base, duty: duty('en-50131-1-a-grade-1-2') })).toContain('DUTY_NOT_READ')
})

test('the last step is the requirement, and its substituted line works out to it', () => {
  for (const method of ['load-charge', 'sections'] as const) {
    const size = sizeBattery({ ...base, method, temperatureC: 10, designFactor: 1.1 })
    const last = size.steps.at(-1)!
    const worked = last.substituted
      .replace(/[^\d.x ]/g, '')
      .split('x')
      .reduce((product, term) => product * Number(term), 1)
    expect(last.value).toBe(size.requiredCapacityAh)
    expect(worked / size.requiredCapacityAh).toBeCloseTo(1, 5)
  }
})

test('refuses a load that draws nothing, unknown hours and impossible numbers', () => {
  expect(() => sizeBattery(withLoad(0))).toThrow(refusal('QUANTITY_OUT_OF_RANGE', '/loads'))
  const { standbyHours: _, ...untimed } = base
  expect(() => sizeBattery(untimed)).toThrow(refusal('QUANTITY_OUT_OF_RANGE', '/standbyDuration'))
  expect(() => sizeBattery(withLoad(-0.1))).toThrow(refusal('QUANTITY_OUT_OF_RANGE', '/loads/0/standbyCurrent'))
  expect(() => sizeBattery({ ...base, alarmHours: Number.POSITIVE_INFINITY })).toThrow(
    refusal('QUANTITY_OUT_OF_RANGE', '/alarmDuration'),
  )
  expect(() => sizeBattery({ ...base, designFactor: 0.9 })).toThrow(refusal('QUANTITY_OUT_OF_RANGE', '/designFactor'))
})

test('refuses temperatures off the table and asks about degrees Fahrenheit', () => {
  expect(() => temperatureFactor(-4)).toThrow(refusal('TEMPERATURE_BEYOND_TABLE', '/temperature'))
  expect(() => temperatureFactor(77)).toThrow(/Fahrenheit/)
  expect(() => temperatureFactor(Number.NaN)).toThrow(refusal('QUANTITY_OUT_OF_RANGE', '/temperature'))
  expect(temperatureFactor(-3.9)).toBe(1.52)
  expect(temperatureFactor(51.7)).toBe(0.85)
})

test('a warm place gives no smaller battery', () => {
  const at = (temperatureC: number) => sizeBattery({ ...base, temperatureC }).requiredCapacityAh
  expect(at(35)).toBe(at(25))
  expect(at(10) / at(25)).toBeCloseTo(1.19, 12)
})

test('says why a battery gives no standby time', () => {
  expect(hoursGiven({ ...withLoad(0.2, 8), alarmHours: 1 }, 1.2)).toMatchObject({ reason: 'ALARM_ALONE_TOO_MUCH' })
  expect(hoursGiven(withLoad(0, 0.5), 7)).toMatchObject({ reason: 'NO_STANDBY_LOAD' })
})

test('other durations are answered beside the one asked for', () => {
  const { whatIf, requiredCapacityAh } = sizeBattery(base)
  expect(whatIf.find(({ standbyHours }) => standbyHours === 24)?.requiredCapacityAh).toBe(requiredCapacityAh)
  expect(whatIf.map(({ standbyHours }) => standbyHours)).toEqual([4, 8, 12, 24, 36, 48, 60, 72])
})
