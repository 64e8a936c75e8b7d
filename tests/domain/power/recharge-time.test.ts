import fc from 'fast-check'
import { afterAll, expect, test } from 'vitest'
import { chargeHours, FULL_FRACTION, rechargeTime } from '../../../src/domain/power/recharge-time.ts'
import { PrintedValues } from '../../support/printed.ts'

const printed = new PrintedValues('tests/reference/power/recharge.json')
afterAll(() => printed.report('recharge'))

test('the two phases of a charge agree with the check values', () => {
  for (const id of ['charge-02', 'charge-06']) {
    const { given, expected } = printed.row(id)
    const state = {
      startFraction: given.startStateFraction,
      kneeFraction: given.kneeStateFraction,
      efficiencyFraction: given.chargeEfficiencyFraction,
    }
    const to = (targetFraction: number) =>
      chargeHours(given.capacityAh, given.chargeCurrentA, { ...state, targetFraction })
    printed.agrees(id, to(given.kneeStateFraction), expected.constantCurrentHours)
    printed.agrees(id, to(given.targetStateFraction), expected.totalHours)
  }
})

test('the load takes its share of the supply', () => {
  const { given, expected } = printed.row('charge-03')
  given.loadCurrentA.forEach((loadCurrentA: number, index: number) => {
    const { supplyCurrentA, chargeLimitA } = given
    const result = rechargeTime({ capacityAh: 7, supplyCurrentA, chargeLimitA, loadCurrentA })
    printed.agrees('charge-03', result.netCurrentA, expected.netChargeCurrentA[index])
    expect(String(result.canRecharge)).toBe(expected.canRecharge[index])
    expect(result.hoursTo80Percent === undefined).toBe(!result.canRecharge)
  })
})

/** Constant current all the way: the knee lies above the target. */
const constantCurrentHours = (given: Record<string, number>, currentA: number) =>
  chargeHours(given.capacityAh!, currentA, {
    startFraction: 0,
    kneeFraction: 0.99,
    targetFraction: given.targetFraction!,
    efficiencyFraction: given.chargeEfficiencyFraction!,
  })

test("the current that a standard's limit asks for", () => {
  const { given, expected } = printed.row('charge-04')
  given.limitHours.forEach((hours: number, index: number) =>
    printed.agrees('charge-04', constantCurrentHours(given, 1) / hours, expected.requiredCurrentA[index]),
  )
})

test('a published lower bound is not undercut', () => {
  const { given, expected } = printed.row('charge-05')
  const hours = chargeHours(given.dischargedAh, given.chargeCurrentA, {
    startFraction: 0,
    kneeFraction: 0.8,
    targetFraction: 0.98,
    efficiencyFraction: 1,
  })
  expect(hours).toBeGreaterThanOrEqual(Number(expected.lowerBoundHours))
})

test('a rule of thumb that allows for the slower taper of real chargers is not exceeded', () => {
  const { given, expected } = printed.row('charge-01')
  const to = (targetFraction: number) =>
    chargeHours(given.capacityAh, given.chargeCurrentA, {
      startFraction: 0,
      kneeFraction: 0.8,
      targetFraction,
      efficiencyFraction: 0.9,
    })
  for (const [target, hours] of [
    [0.9, expected.hoursTo90Percent],
    [FULL_FRACTION, expected.hoursToFull],
  ] as const) {
    console.info(`charge-01: ${to(target).toFixed(2)} h to ${100 * target} % against ${hours} h by the rule of thumb`)
    expect(to(target)).toBeLessThanOrEqual(Number(hours))
    expect(to(target)).toBeGreaterThanOrEqual(0.8 * Number(hours))
  }
})

const chargers = fc.record({
  capacityAh: fc.double({ min: 1, max: 100, noNaN: true }),
  supplyCurrentA: fc.double({ min: 0.5, max: 5, noNaN: true }),
  chargeLimitA: fc.double({ min: 0.05, max: 3, noNaN: true }),
  loadCurrentA: fc.double({ min: 0, max: 0.45, noNaN: true }),
  startFraction: fc.double({ min: 0, max: 1, noNaN: true }),
  kneeFraction: fc.double({ min: 0.3, max: 0.95, noNaN: true }),
  efficiencyFraction: fc.double({ min: 0.7, max: 1, noNaN: true }),
})

test('a limit is met exactly when the net current is at least the one it asks for, whatever the start', () => {
  fc.assert(
    fc.property(chargers, (input) => {
      const { deadlines, netCurrentA } = rechargeTime(input)
      for (const { requiredCurrentA, isMet, limitHours, targetFraction } of deadlines) {
        expect(isMet).toBe(netCurrentA >= requiredCurrentA)
        const { kneeFraction, efficiencyFraction } = input
        const state = { startFraction: 0, kneeFraction, efficiencyFraction, targetFraction }
        expect(chargeHours(input.capacityAh, requiredCurrentA, state) / limitHours).toBeCloseTo(1, 9)
      }
      expect(rechargeTime({ ...input, startFraction: 0 }).deadlines).toEqual(deadlines)
    }),
  )
})

test('each time can be worked out again from its step', () => {
  fc.assert(
    fc.property(chargers, (input) => {
      const { steps, hoursTo80Percent, hoursToFull } = rechargeTime(input)
      expect(steps.slice(1).map(({ value }) => value)).toEqual([hoursTo80Percent, hoursToFull])
      for (const { substituted, value } of steps.slice(1)) {
        const sum = substituted
          .replaceAll(/ Ah| A/g, '')
          .replaceAll('x', '*')
          .replaceAll('ln', 'Math.log')
        const worked = new Function(`return ${sum}`)() as number
        expect(Math.abs(worked - value)).toBeLessThanOrEqual(1e-3 * Math.max(1, value))
      }
    }),
  )
})

test('a larger load never shortens the charge, a fuller start never lengthens it', () => {
  const supply = { capacityAh: 7, supplyCurrentA: 1, chargeLimitA: 0.7 }
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 0.9, noNaN: true }),
      fc.double({ min: 0, max: 0.7, noNaN: true }),
      (load, start) => {
        const hours = (loadCurrentA: number, startFraction: number) =>
          rechargeTime({ ...supply, loadCurrentA, startFraction }).hoursToFull!
        expect(hours(load + 0.05, start)).toBeGreaterThanOrEqual(hours(load, start) - 1e-9)
        expect(hours(load, start + 0.1)).toBeLessThanOrEqual(hours(load, start) + 1e-9)
      },
    ),
  )
})

test('a taper is not asked to reach the very end', () => {
  expect(() =>
    chargeHours(7, 0.5, { startFraction: 0, kneeFraction: 0.8, targetFraction: 1, efficiencyFraction: 0.9 }),
  ).toThrow(expect.objectContaining({ code: 'QUANTITY_OUT_OF_RANGE' }))
})

test('every row of the check values was looked at', () => {
  expect(printed.unread()).toEqual([])
})
