import type { Judged } from './judge.ts'
import { type MatchResult, matchParts } from './match.ts'
import type { Substitute } from './substitutes.ts'
import type { AttributeValue, Constraint, Item, Requirement } from './types.ts'

/** Items that do the job together. */
export interface Kit {
  lines: Judged[]
  /** The substitute by which the second line makes up for what the first one fails. */
  substitute?: string
  /** Sum over the lines [minor unit]; absent where a price is not known or the currencies differ. */
  totalPriceMinor?: number
  currency?: string
  /** Whether every line is in stock; absent where no line is known to be out and one is not known. */
  isInStock?: boolean
}

function totalOf(lines: readonly Judged[]): Pick<Kit, 'totalPriceMinor' | 'currency'> {
  const currency = lines[0]?.item.currency
  const isAlike = currency !== undefined && lines.every(({ item }) => item.currency === currency)
  if (!isAlike || lines.some(({ totalPriceMinor }) => totalPriceMinor === undefined)) return {}
  return { totalPriceMinor: lines.reduce((sum, line) => sum + line.totalPriceMinor!, 0), currency }
}

function stockOf(lines: readonly Judged[]): Pick<Kit, 'isInStock'> {
  if (lines.some(({ isInStock }) => isInStock === false)) return { isInStock: false }
  return lines.every(({ isInStock }) => isInStock === true) ? { isInStock: true } : {}
}

/**
 * A kit of lines that are bought together, with the sum of their prices [minor unit] and whether all are in stock.
 *
 * totalPriceMinor = sum of the lines; isInStock = all lines
 *
 * @param lines - judged items, one for each kind of part
 * @returns price only where every price is known in one currency, stock only where it is known
 * @source arithmetic
 */
export function kitOf(lines: Judged[], substitute?: string): Kit {
  return { lines, ...(substitute === undefined ? {} : { substitute }), ...totalOf(lines), ...stockOf(lines) }
}

const demand = ([attribute, value]: [string, AttributeValue]): Constraint => ({
  attribute,
  op: 'eq',
  value,
  kind: 'hard',
  isSafety: true,
  origin: 'what the new part and the old connection are',
})

/** What the piece that comes with a substitute must be. */
export function companionRequirement({ with: piece }: Substitute, quantity: number): Requirement | undefined {
  if (!piece) return undefined
  return {
    partClass: piece.partClass,
    constraints: Object.entries(piece.attributes).map(demand),
    quantity: quantity * piece.quantity,
    adaptersAllowed: false,
  }
}

const isDemanded = ({ op, value }: Constraint, wanted: AttributeValue) =>
  value === wanted || (op === 'in' && Array.isArray(value) && value.includes(wanted))

/** Substitutes whose further piece makes up for exactly what an item fails. */
function waysOut(miss: Judged, { constraints }: Requirement, substitutes: readonly Substitute[]): Substitute[] {
  const [failed] = miss.failed
  return substitutes.filter(
    ({ swaps, with: piece }) =>
      piece !== undefined &&
      swaps.length === 1 &&
      swaps[0]!.attribute === failed!.attribute &&
      swaps[0]!.candidate === failed!.found &&
      constraints.some((one) => one.attribute === failed!.attribute && isDemanded(one, swaps[0]!.required)),
  )
}

/**
 * Kits that make a near miss fit by a piece bought along; none where the requirement allows no adapter.
 *
 * @param result - the match whose near misses are completed, unknowns and all: a miss that is not sure stays out
 * @param items - among them the pieces
 * @returns kits in the order of the near misses, each with the best piece that truly fits
 * @source common practice, no source
 */
export function completingKits(
  { nearMisses }: MatchResult,
  requirement: Requirement,
  items: readonly Item[],
  substitutes: readonly Substitute[],
): Kit[] {
  if (!requirement.adaptersAllowed) return []
  return nearMisses
    .filter(({ unknown }) => unknown.length === 0)
    .flatMap((miss) =>
      waysOut(miss, requirement, substitutes).flatMap((substitute) => {
        const [piece] = matchParts(companionRequirement(substitute, requirement.quantity)!, items).fits
        return piece ? [kitOf([miss, piece], substitute.id)] : []
      }),
    )
}
