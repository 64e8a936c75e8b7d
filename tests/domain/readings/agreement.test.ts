import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { areNeighbours, beyondHealthy, isAtOdds, standardUncertainty } from '../../../src/domain/readings/agreement.ts'

const at = (value: number, uncertainty: number, band = 0) => ({ value, uncertainty, band })

describe('two readings', () => {
  test('are at odds from twice the root of the summed squares of their uncertainties on', () => {
    // 2 sqrt(0.03^2 + 0.04^2) = 0.1, worked by hand
    expect(isAtOdds(at(12, 0.03), at(12.0999, 0.04))).toBe(false)
    expect(isAtOdds(at(12, 0.03), at(12.1001, 0.04))).toBe(true)
  })

  test('without any uncertainty agree only where they are equal', () => {
    expect(isAtOdds(at(12, 0), at(12, 0))).toBe(false)
    expect(isAtOdds(at(12, 0), at(12.000001, 0))).toBe(true)
  })

  test('are at odds with a band between theirs, whatever their uncertainties', () => {
    expect(isAtOdds(at(12, 100, 0), at(13, 100, 1))).toBe(false)
    expect(isAtOdds(at(12, 100, 0), at(13, 100, 2))).toBe(true)
  })

  test('are at odds or not whichever is named first', () => {
    const reading = fc.record({
      value: fc.double({ min: -50, max: 50, noNaN: true }),
      uncertainty: fc.double({ min: 0, max: 20, noNaN: true }),
      band: fc.nat(4),
    })
    fc.assert(
      fc.property(reading, reading, (a, b) => {
        expect(isAtOdds(a, b)).toBe(isAtOdds(b, a))
      }),
    )
  })
})

test('the uncertainty of a limit of error is that of a rectangular distribution', () => {
  expect(standardUncertainty(Math.sqrt(3))).toBeCloseTo(1, 12)
})

test('bands are neighbours of themselves and of the next', () => {
  expect([areNeighbours(1, 1), areNeighbours(1, 2), areNeighbours(2, 1), areNeighbours(0, 2)]).toEqual([
    true,
    true,
    true,
    false,
  ])
})

describe('the distance from healthy', () => {
  test('counts from the edge that was passed, below and above', () => {
    expect(beyondHealthy(11.4, [12, 14], 1)).toBeCloseTo(0.6, 12)
    expect(beyondHealthy(14.5, [12, 14], 1)).toBeCloseTo(0.5, 12)
  })

  test('is negative inside, by the nearer edge', () => {
    expect(beyondHealthy(12.5, [12, 14], 1)).toBeCloseTo(-0.5, 12)
    expect(beyondHealthy(13.5, [12, 14], 1)).toBeCloseTo(-0.5, 12)
  })

  test('has one side only where the healthy band is the first or the last', () => {
    expect(beyondHealthy(-100, [5], 0)).toBe(-105)
    expect(beyondHealthy(100, [5], 1)).toBe(-95)
  })
})
