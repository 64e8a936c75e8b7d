import fc from 'fast-check'
import { afterAll, expect, test } from 'vitest'
import { DUTIES } from '../../../src/domain/power/duties.ts'
import { hoursGiven } from '../../../src/domain/power/hours-given.ts'
import { type SizingInput, sizeBattery } from '../../../src/domain/power/size-battery.ts'
import { temperatureFactor } from '../../../src/domain/power/temperature-factor.ts'
import { toUnit } from '../../../src/domain/quantities/convert.ts'

const RUNS = { numRuns: 400 }
const amperes = (max: number) => fc.double({ min: 0.001, max, noNaN: true })
const hours = (max: number) => fc.double({ min: 0.05, max, noNaN: true })
const sizings: fc.Arbitrary<SizingInput> = fc.record({
  loads: fc.array(
    fc.record({ quantity: fc.integer({ min: 1, max: 9 }), standbyCurrentA: amperes(0.5), alarmCurrentA: amperes(2) }),
    { minLength: 1, maxLength: 4 },
  ),
  standbyHours: hours(100),
  alarmHours: hours(2),
  nominalVoltageV: fc.constantFrom(6, 12, 24),
  method: fc.constantFrom('load-charge', 'derated-alarm', 'sections'),
  exponent: fc.double({ min: 1, max: 1.6, noNaN: true }),
  ageingFactor: fc.double({ min: 1, max: 2, noNaN: true }),
  temperatureC: fc.double({ min: -3.9, max: 51.7, noNaN: true }),
})
const required = (input: SizingInput) => sizeBattery(input).requiredCapacityAh
const rises = (from: number, to: number) => expect(to).toBeGreaterThanOrEqual(from * (1 - 1e-12))

let worstInverse = 0
afterAll(() => console.info(`standby size: worst relative error of the inverse ${worstInverse.toExponential(2)}`))

test('the requirement never falls when a load rises', () => {
  fc.assert(
    fc.property(sizings, amperes(3), fc.boolean(), (input, more, isAlarm) => {
      const [first, ...rest] = input.loads
      const key = isAlarm ? 'alarmCurrentA' : 'standbyCurrentA'
      const raised = { ...first!, [key]: first![key]! + more }
      rises(required(input), required({ ...input, loads: [raised, ...rest] }))
    }),
    RUNS,
  )
})

test('the de-rated form does not fall either where its rule changes sides', () => {
  fc.assert(
    fc.property(
      amperes(2),
      hours(1),
      fc.double({ min: 0.9, max: 1.1, noNaN: true }),
      (alarmCurrentA, alarmHours, near) => {
        const standbyAh = (20 / 1.25 - alarmHours) * alarmCurrentA * near
        const at = (standbyCurrentA: number) =>
          required({
            loads: [{ quantity: 1, standbyCurrentA, alarmCurrentA }],
            standbyHours: 24,
            alarmHours,
            nominalVoltageV: 12,
            method: 'derated-alarm',
          })
        rises(at(standbyAh / 24), at((standbyAh / 24) * 1.01))
      },
    ),
    RUNS,
  )
})

test('the requirement never falls with longer standby or alarm', () => {
  fc.assert(
    fc.property(sizings, hours(50), (input, more) => {
      rises(required(input), required({ ...input, standbyHours: input.standbyHours! + more }))
      rises(required(input), required({ ...input, alarmHours: input.alarmHours! + more }))
    }),
    RUNS,
  )
})

test('the requirement scales with the load', () => {
  fc.assert(
    fc.property(sizings, fc.integer({ min: 2, max: 7 }), (input, times) => {
      const loads = input.loads.map((load) => ({ ...load, quantity: load.quantity * times }))
      expect(required({ ...input, loads }) / required(input)).toBeCloseTo(times, 9)
    }),
    RUNS,
  )
})

test('the recommended battery carries the time asked for, and its limits hold the decision', () => {
  fc.assert(
    fc.property(sizings, (input) => {
      const { recommended, requiredCapacityAh, decisionChangesAt } = sizeBattery(input)
      const exact = hoursGiven(input, requiredCapacityAh)
      const error = Math.abs(exact.standbyHours! / input.standbyHours! - 1)
      worstInverse = Math.max(worstInverse, input.method === 'load-charge' ? error : 0)
      expect(exact.standbyHours).toBeGreaterThanOrEqual(input.standbyHours! * (1 - 1e-9))
      if (!recommended) return
      const setAh = recommended.capacityAh * recommended.inParallel
      expect(setAh).toBeGreaterThanOrEqual(requiredCapacityAh * (1 - 1e-9))
      const given = hoursGiven(input, setAh)
      expect(given.standbyHours).toBeGreaterThanOrEqual(input.standbyHours! * (1 - 1e-9))
      expect(decisionChangesAt!.standbyHours).toBeCloseTo(given.standbyHours!, 6)
      expect(required({ ...input, standbyHours: decisionChangesAt!.standbyHours * 1.001 })).toBeGreaterThan(setAh)
    }),
    RUNS,
  )
})

test('the unit of a quantity does not change the requirement', () => {
  fc.assert(
    fc.property(sizings, (input) => {
      const loads = input.loads.map((load) => ({
        ...load,
        standbyCurrentA: toUnit({ value: load.standbyCurrentA * 1000, unit: 'mA' }, 'A'),
      }))
      const temperatureC = toUnit({ value: (input.temperatureC! * 9) / 5 + 32, unit: 'degF' }, 'Cel')
      const inRange = Math.min(51.7, Math.max(-3.9, temperatureC))
      const standbyHours = toUnit({ value: input.standbyHours! * 60, unit: 'min' }, 'h')
      expect(required({ ...input, loads, standbyHours, temperatureC: inRange }) / required(input)).toBeCloseTo(1, 9)
    }),
    RUNS,
  )
})

test('the temperature factor falls as it gets warmer, and is 1 at 25 degrees Celsius', () => {
  expect(temperatureFactor(25)).toBe(1)
  const temperatures = fc.double({ min: -3.9, max: 51.7, noNaN: true })
  fc.assert(
    fc.property(temperatures, temperatures, (a, b) => {
      rises(temperatureFactor(Math.max(a, b)), temperatureFactor(Math.min(a, b)))
    }),
    RUNS,
  )
})

test('no duty states hours that a battery cannot be sized for, and each id is its own', () => {
  expect(new Set(DUTIES.map(({ id }) => id)).size).toBe(DUTIES.length)
  for (const duty of DUTIES) {
    const load = { quantity: 1, standbyCurrentA: 0.05, alarmCurrentA: 0.1 }
    const size = sizeBattery({ loads: [load], duty, nominalVoltageV: 12, method: 'load-charge' })
    expect(size.requiredCapacityAh).toBeGreaterThanOrEqual(0.05 * duty.standbyHours * (duty.margin?.factor ?? 1.25))
  }
})
