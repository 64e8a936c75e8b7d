import type { AttributeValue, Constraint, Requirement } from './types.ts'

/** A value that one part may have in place of the one required. */
export interface Swap {
  attribute: string
  required: AttributeValue
  candidate: AttributeValue
}
/** What may take the place of a part: one way only, and never the substitute of a substitute. */
export interface Substitute {
  id: string
  swaps: readonly Swap[]
  /** Kind of part of the candidate where it is another one. */
  partClass?: string
  /** What somebody has to make sure of first. */
  conditions: readonly string[]
  /** 1 is as good as the original, 3 a makeshift. */
  rank: number
  /** A piece that has to be bought along, for each part. */
  with?: { partClass: string; attributes: Readonly<Record<string, AttributeValue>>; quantity: number }
}
export interface SubstituteRequirement {
  substitute: Substitute
  requirement: Requirement
}

/** Whether a demand is for exactly this value, and for no value that the candidate has as well. */
function demands({ kind, op, value, to }: Constraint, { required, candidate }: Swap): boolean {
  if (kind === 'soft') return false
  if (op === 'eq') return value === required
  if (op === 'in') return Array.isArray(value) && value.includes(required) && !value.includes(candidate)
  if (op === 'range') return value === required && to === required
  // A bound that is only presumed from the old part stands for its very value.
  return kind === 'confirm' && (op === 'max' || op === 'min') && value === required
}

function swapped(constraint: Constraint, swaps: readonly Swap[]): Constraint {
  const swap = swaps.find((one) => one.attribute === constraint.attribute && demands(constraint, one))
  if (!swap) return constraint
  const { to: _, ...rest } = constraint
  const isBound = constraint.kind === 'confirm'
  return { ...rest, op: isBound ? constraint.op : 'eq', value: swap.candidate }
}

/**
 * Requirements that a substitute would have to meet in place of the original.
 *
 * @param requirement - the original
 * @param substitutes - what may take its place; those that need a further piece make a kit, not a requirement
 * @returns one requirement for each substitute whose every swap meets a demand for exactly the value it replaces
 * @validity one step: a substitute's own substitutes are not looked for, and nothing follows for the other way round
 * @source own-derivation
 */
export function substituteRequirements(
  requirement: Requirement,
  substitutes: readonly Substitute[],
): SubstituteRequirement[] {
  return substitutes
    .filter(
      (substitute) =>
        substitute.with === undefined &&
        substitute.swaps.every((swap) =>
          requirement.constraints.some((one) => one.attribute === swap.attribute && demands(one, swap)),
        ),
    )
    .map((substitute) => ({
      substitute,
      requirement: {
        ...requirement,
        partClass: substitute.partClass ?? requirement.partClass,
        constraints: requirement.constraints.map((constraint) => swapped(constraint, substitute.swaps)),
      },
    }))
}
