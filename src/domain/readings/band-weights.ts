import { DomainError } from '../errors.ts'
import { normalUpperTail } from './normal.ts'

/** Probability between two standardised limits, taken on the side where nothing cancels. */
function between(low: number, high: number): number {
  return low >= 0 ? normalUpperTail(low) - normalUpperTail(high) : normalUpperTail(-high) - normalUpperTail(-low)
}

/**
 * Likelihood of each band of a reading, given the value read.
 *
 * weight(band) = Phi((upper - value) / u) - Phi((lower - value) / u)
 *
 * @param value - value read, in the unit of the edges, finite
 * @param standardUncertainty - standard uncertainty u in the same unit, finite and >= 0; 0 puts all weight in one band
 * @param edges - edges between the bands, ascending; a value on an edge belongs to the band above
 * @returns one weight a band, together 1
 * @throws DomainError QUANTITY_OUT_OF_RANGE when a number is not finite or u is negative
 * @validity takes the density as equal within neighbouring bands; harmless but within about 2 u of an edge
 * @source virtual evidence, J. Pearl, Probabilistic Reasoning in Intelligent Systems (1988), from memory
 * @example bandWeights(11.9, 0.1, [11.8, 12.4]) // about [0.159, 0.841, 0.000]
 */
export function bandWeights(value: number, standardUncertainty: number, edges: readonly number[]): number[] {
  if (!Number.isFinite(value) || !Number.isFinite(standardUncertainty) || standardUncertainty < 0)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'value must be finite and its uncertainty finite and >= 0', {
      value: standardUncertainty,
    })
  if (standardUncertainty === 0) {
    const band = edges.filter((edge) => value >= edge).length
    return Array.from({ length: edges.length + 1 }, (_, index) => (index === band ? 1 : 0))
  }
  const limits = [
    Number.NEGATIVE_INFINITY,
    ...edges.map((edge) => (edge - value) / standardUncertainty),
    Number.POSITIVE_INFINITY,
  ]
  return limits.slice(1).map((high, index) => between(limits[index]!, high))
}
