import fc from 'fast-check'
import { expect, test } from 'vitest'
import { bandWeights } from '../../../src/domain/readings/band-weights.ts'
import { normalUpperTail } from '../../../src/domain/readings/normal.ts'

/** erf(x) as Abramowitz and Stegun table 7.1 prints it (from memory): 10 decimals. */
const ERF: [number, number][] = [
  [0.1, 0.112462916],
  [0.5, 0.5204998778],
  [1, 0.8427007929],
  [1.5, 0.9661051465],
  [2, 0.995322265],
]

test.each(ERF)('the tail at x = %d agrees with the printed error function', (x, erf) => {
  expect(Math.abs(1 - 2 * normalUpperTail(x * Math.SQRT2) - erf)).toBeLessThan(0.5e-10)
})

test('series and continued fraction meet where one takes over from the other', () => {
  const at = 2.5 * Math.SQRT2
  const slope = (normalUpperTail(at - 1e-9) - normalUpperTail(at + 1e-9)) / normalUpperTail(at)
  expect(Math.abs(slope)).toBeLessThan(1e-7)
})

test('the far tail keeps its relative accuracy', () => {
  // Q(6) = 9.865876450e-10, handbook value from memory.
  expect(normalUpperTail(6) / 9.86587645e-10).toBeCloseTo(1, 8)
})

test('weights are never negative and sum to one', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -50, max: 50, noNaN: true }),
      fc.double({ min: 0, max: 5, noNaN: true }),
      (value, uncertainty) => {
        const weights = bandWeights(value, uncertainty, [-10, 0, 3, 11.8])
        expect(weights.every((weight) => weight >= 0)).toBe(true)
        expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12)
      },
    ),
  )
})

test('a value without uncertainty lies in one band, on an edge in the one above', () => {
  expect(bandWeights(11.8, 0, [10.5, 11.8])).toEqual([0, 0, 1])
  expect(bandWeights(11.79, 0, [10.5, 11.8])).toEqual([0, 1, 0])
})

test('refuses a value that is not finite', () => {
  expect(() => bandWeights(Number.NaN, 0.1, [1])).toThrow('finite')
})
