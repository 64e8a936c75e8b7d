import { DomainError } from '../errors.ts'
import { type Step, written } from '../quantities/derivation.ts'
import { bandWeights } from './band-weights.ts'

/** Limit of error as a meter states it: percent of the reading plus digits x resolution. */
export interface MeterError {
  percentOfReading: number
  /** Digits times resolution, in the unit of the reading. */
  absolute: number
}
export interface InterpretInput {
  value: number
  unit: string
  meter: MeterError
  /** Where the meter's error comes from: the sender, or assumed. */
  isMeterAssumed: boolean
  /** Upper edges of all bands but the last, ascending. */
  edges: readonly number[]
  bands: readonly string[]
  validLow: number
  validHigh: number
}
export interface Interpretation {
  /** The true value lies between these, by the meter's own limit of error. */
  low: number
  high: number
  /** Probability of each band, in the order of the bands. */
  probabilities: number[]
  /** Bands that the limit of error leaves possible. */
  possible: string[]
  /** The one possible band, or that the meter cannot tell. */
  verdict: 'clear' | 'cannot-tell'
  /** The edge nearest to the value, its distance and the band below it; a meter with a smaller error than this would tell. */
  nearestEdge: { value: number; distance: number; below: number }
  steps: Step[]
}

/**
 * Limit of error of a meter reading, in the unit of the reading.
 *
 * b = |value| * percent / 100 + digits * resolution
 *
 * @source usual statement of meter accuracy; worked in public (read)
 * @example limitOfError(120, { percentOfReading: 1, absolute: 3 * 0.1 }) // 1.5
 */
export const limitOfError = (value: number, { percentOfReading, absolute }: MeterError): number =>
  (Math.abs(value) * percentOfReading) / 100 + absolute

/** Bands that [low, high] reaches into; a value on an edge belongs to the band above. */
function bandsWithin({ edges, bands }: InterpretInput, low: number, high: number): string[] {
  return bands.filter((_, index) => {
    const lower = index === 0 ? Number.NEGATIVE_INFINITY : edges[index - 1]!
    const upper = edges[index] ?? Number.POSITIVE_INFINITY
    return high >= lower && low < upper
  })
}

function boundStep({ value, unit, meter, isMeterAssumed }: InterpretInput, bound: number): Step {
  return {
    formula: 'limit of error = |value| x percent of reading / 100 + digits x resolution',
    substituted: `${written(Math.abs(value))} ${unit} x ${written(meter.percentOfReading)} / 100 + ${written(meter.absolute)} ${unit}`,
    value: bound,
    unit,
    source: isMeterAssumed
      ? 'usual statement of meter accuracy; the accuracy itself is assumed, judgement'
      : 'usual statement of meter accuracy; the accuracy is the one sent',
  }
}

/**
 * What a meter reading says about the bands of a reading.
 *
 * low, high = value -/+ (|value| * percent / 100 + absolute); a band is possible when [low, high] reaches into it
 *
 * @param input - value and meter error in the unit of the edges
 * @returns possible bands by the hard bound, probabilities of all bands by u = bound / sqrt(3)
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the value is not finite or outside what the reading can be
 * @validity the limit of error is taken as the meter's whole error: leads, contact and loading come on top
 * @source JCGM 100:2008 4.3.7 (rectangular distribution, from memory); one value against a limit by the hard bound
 * @example interpretReading({ value: 12.6, meter: { percentOfReading: 0.5, absolute: 0.03 }, ... }).verdict // 'clear'
 */
export function interpretReading(input: InterpretInput): Interpretation {
  const { value, unit, meter, edges, validLow, validHigh } = input
  if (!(value >= validLow && value <= validHigh))
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `quantity must be between ${validLow} and ${validHigh} ${unit}, got ${value} ${unit}`,
      { path: '/quantity/value', limit: `${validLow} to ${validHigh} ${unit}`, value: String(value) },
    )
  const bound = limitOfError(value, meter)
  const possible = bandsWithin(input, value - bound, value + bound)
  const distances = edges.map((edge) => Math.abs(edge - value))
  const below = distances.indexOf(Math.min(...distances))
  return {
    low: value - bound,
    high: value + bound,
    probabilities: bandWeights(value, bound / Math.sqrt(3), edges),
    possible,
    verdict: possible.length === 1 ? 'clear' : 'cannot-tell',
    nearestEdge: { value: edges[below]!, distance: distances[below]!, below },
    steps: [boundStep(input, bound)],
  }
}
