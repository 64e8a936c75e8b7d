import type { AttributeValue, Constraint } from './types.ts'
import { wording } from './words.ts'

export interface Side {
  required: string
  origin: string
}
/** Two demands on one attribute that no part can meet together. */
export interface Contradiction {
  attribute: string
  isSafety: boolean
  between: [Side, Side]
}

const listed = ({ op, value }: Constraint): readonly AttributeValue[] | undefined =>
  op === 'eq' || op === 'in' ? (Array.isArray(value) ? value : [value as AttributeValue]) : undefined

/** Bounds of a numeric demand; undefined for one that has none. */
function boundsOf({ op, value, to }: Constraint): [number, number] | undefined {
  if (typeof value !== 'number') return undefined
  if (op === 'min') return [value, Number.POSITIVE_INFINITY]
  if (op === 'max') return [Number.NEGATIVE_INFINITY, value]
  return op === 'range' ? [value, to ?? Number.POSITIVE_INFINITY] : undefined
}

const SLACK = 1e-9
const isWithin = (one: AttributeValue, [low, high]: [number, number]) =>
  typeof one === 'number' && one >= low - Math.abs(low) * SLACK && one <= high + Math.abs(high) * SLACK
const isSame = (a: AttributeValue, b: AttributeValue) =>
  typeof a === 'number' && typeof b === 'number' ? isWithin(a, [b, b]) : a === b

function canBothHold(a: Constraint, b: Constraint): boolean {
  const [valuesA, valuesB, boundsA, boundsB] = [listed(a), listed(b), boundsOf(a), boundsOf(b)]
  if (valuesA && valuesB) return valuesA.some((one) => valuesB.some((other) => isSame(one, other)))
  if (valuesA && boundsB) return valuesA.some((one) => isWithin(one, boundsB))
  if (boundsA && valuesB) return valuesB.some((one) => isWithin(one, boundsA))
  if (!boundsA || !boundsB) return true
  const [low, high] = [Math.max(boundsA[0], boundsB[0]), Math.min(boundsA[1], boundsB[1])]
  return low <= high + Math.abs(high) * SLACK
}

/**
 * Pairs of hard demands on one attribute that contradict each other, in the order of the constraints.
 *
 * @param constraints - those of one requirement; soft ones and bounds that are only presumed contradict nothing
 * @returns each pair once, with where both come from
 * @validity demands by equality, list and bounds; ranges that a part must cover are not compared
 * @source own-derivation
 */
export function contradictionsOf(constraints: readonly Constraint[]): Contradiction[] {
  const hard = constraints.filter(({ kind }) => kind === 'hard')
  const side = (constraint: Constraint): Side => ({ required: wording(constraint), origin: constraint.origin })
  return hard.flatMap((a, at) =>
    hard
      .slice(at + 1)
      .filter((b) => b.attribute === a.attribute && !canBothHold(a, b))
      .map((b) => ({
        attribute: a.attribute,
        isSafety: a.isSafety || b.isSafety,
        between: [side(a), side(b)] as [Side, Side],
      })),
  )
}
