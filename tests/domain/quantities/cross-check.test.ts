import { convert } from 'convert'
import fc from 'fast-check'
import Qty from 'js-quantities'
import { all, create } from 'mathjs'
import { describe, expect, test } from 'vitest'
import { exactly, parallel, series } from '../../../src/domain/circuits/interval.ts'
import { batteryRuntime } from '../../../src/domain/power/battery-runtime.ts'
import { runtimeHoursPeukert1897 } from '../../../src/domain/power/peukert.ts'
import { toUnit } from '../../../src/domain/quantities/convert.ts'
import { normalUpperTail } from '../../../src/domain/readings/normal.ts'
import { levelAtDistance } from '../../../src/domain/readings/sound-level.ts'

/** General-purpose libraries, independent of this project, asked the same questions. */
const math = create(all!, {})
const value = fc.double({ min: -1e6, max: 1e6, noNaN: true, noDefaultInfinity: true })
const near = (actual: number, expected: number) =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(expected)))

describe('conversions agree with', () => {
  const PAIRS: [ours: string, base: string, mathjs: string, mathBase: string][] = [
    ['mV', 'V', 'mV', 'V'],
    ['mA', 'A', 'mA', 'A'],
    ['kOhm', 'Ohm', 'kohm', 'ohm'],
    ['min', 'h', 'minute', 'hour'],
    ['[ft_i]', 'm', 'ft', 'm'],
    ['[in_i]', 'mm', 'inch', 'mm'],
    ['[degF]', 'Cel', 'degF', 'degC'],
    ['K', 'Cel', 'K', 'degC'],
  ]
  test.each(PAIRS)('mathjs: %s to %s', (ours, base, theirs, theirBase) => {
    fc.assert(
      fc.property(value, (number) => {
        near(toUnit({ value: number, unit: ours }, base), math.unit(number, theirs).toNumber(theirBase))
      }),
    )
  })

  test.each([
    ['mV', 'V', 'mV', 'V'],
    ['min', 'h', 'min', 'h'],
    ['[ft_i]', 'm', 'ft', 'm'],
    ['[degF]', 'Cel', 'tempF', 'tempC'],
  ] as const)('js-quantities: %s to %s', (ours, base, theirs, theirBase) => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100_000 }), (number) => {
        near(toUnit({ value: number, unit: ours }, base), Qty(number, theirs).to(theirBase).scalar)
      }),
    )
  })

  test('convert: feet to metres and minutes to hours', () => {
    fc.assert(
      fc.property(value, (number) => {
        near(toUnit({ value: number, unit: '[ft_i]' }, 'm'), convert(number, 'feet').to('meters'))
        near(toUnit({ value: number, unit: 'min' }, 'h'), convert(number, 'minutes').to('hours'))
      }),
    )
  })
})

describe('formulas agree with mathjs evaluating the written equation', () => {
  const positive = fc.double({ min: 0.1, max: 1000, noNaN: true })

  test('resistances in series and in parallel', () => {
    fc.assert(
      fc.property(positive, positive, positive, (a, b, c) => {
        near(parallel(exactly(a), exactly(b), exactly(c)).low, math.evaluate('1 / (1/a + 1/b + 1/c)', { a, b, c }))
        near(series(exactly(a), exactly(b), exactly(c)).low, math.evaluate('a + b + c', { a, b, c }))
      }),
    )
  })

  test("Peukert's relation", () => {
    fc.assert(
      fc.property(positive, fc.double({ min: 1, max: 1.5, noNaN: true }), (capacity, k) => {
        const current = capacity / 5
        near(
          runtimeHoursPeukert1897(capacity, 20, current, k),
          math.evaluate('20 * (C / (20 * I))^k', { C: capacity, I: current, k }),
        )
      }),
    )
  })

  test('free-space loss and the tail of the normal distribution', () => {
    near(levelAtDistance(105, 3, 31.7), math.evaluate('105 - 20 * log10(31.7 / 3)'))
    for (const x of [0, 0.5, 1, 2, 3]) near(normalUpperTail(x), math.evaluate('(1 - erf(x / sqrt(2))) / 2', { x }))
  })
})

test('a two-well runtime at the rated current is the rated time, as the definition of the rating says', () => {
  const { models } = batteryRuntime({ ratedCapacityAh: 7, standbyCurrentA: 0.35 })
  for (const { hours } of models) if (hours) near(hours.lowHours, 20)
})
