import { DomainError } from '../errors.ts'
import { type Contradiction, contradictionsOf } from './contradictions.ts'
import { type Judged, judgeItem } from './judge.ts'
import { compareJudged } from './rank.ts'
import { minimalRelaxations, type NearMiss, nearMiss } from './relax.ts'
import { type Substitute, type SubstituteRequirement, substituteRequirements } from './substitutes.ts'
import type { Item, Requirement } from './types.ts'

export type { NearMiss } from './relax.ts'

/** How many rejected items failed on an attribute. */
export interface RejectionCount {
  attribute: string
  isSafety: boolean
  count: number
}
export interface MatchResult {
  fits: Judged[]
  confirmFirst: Judged[]
  nearMisses: NearMiss[]
  rejected: Judged[]
  /** Why items were rejected: matters of safety first, then the most frequent. */
  rejections: RejectionCount[]
  isNoMatch: boolean
  /** Smallest sets of attributes whose giving up would admit an item; never one of safety. Only when nothing fits. */
  minimalRelaxations: string[][]
  /** Demands of the requirement that no part can meet together. */
  contradictions: Contradiction[]
}

function countRejections(rejected: readonly Judged[]): RejectionCount[] {
  const counts = new Map<string, RejectionCount>()
  for (const { attribute, isSafety } of rejected.flatMap(({ failed }) => failed)) {
    const key = `${isSafety} ${attribute}`
    counts.set(key, { attribute, isSafety, count: (counts.get(key)?.count ?? 0) + 1 })
  }
  return [...counts.values()].sort(
    (a, b) => Number(b.isSafety) - Number(a.isSafety) || b.count - a.count || (a.attribute < b.attribute ? -1 : 1),
  )
}

function refuseUncountable(value: number | undefined, path: string): void {
  if (value === undefined || (Number.isInteger(value) && value >= 1)) return
  const name = path.split('/').at(-1)
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `${name} must be a whole number from 1, got ${value}`, {
    path,
    limit: 1,
    value: String(value),
  })
}

/** An item under a substitute's requirement: a fit only when every condition of the substitute has been made sure of. */
function judgeSubstitute({ substitute, requirement }: SubstituteRequirement, item: Item): Judged {
  const judged = judgeItem(requirement, item)
  const open = substitute.conditions.filter((condition) => !requirement.confirmed?.includes(condition))
  const isFit = judged.verdict === 'fits' && open.length === 0
  const verdict = judged.verdict === 'fits' && !isFit ? 'needs-confirmation' : judged.verdict
  return { ...judged, verdict, substitution: { id: substitute.id, rank: substitute.rank, open } }
}

/** Only what would truly fit or may fit takes a substitute's way; a near miss of a substitute is no near miss. */
const isAdmitted = ({ verdict }: Judged) => verdict === 'fits' || verdict === 'needs-confirmation'

function judgeAll(requirement: Requirement, items: readonly Item[], substitutes: readonly Substitute[]): Judged[] {
  const others = substituteRequirements(requirement, substitutes)
  return items.map((item) => {
    const asOther = others.map((other) => judgeSubstitute(other, item)).filter(isAdmitted)
    return [judgeItem(requirement, item), ...asOther].sort(compareJudged)[0]!
  })
}

/**
 * Judges items against a requirement and ranks them; constraints decide before price ever does.
 *
 * @param requirement - kind of part, constraints in the attributes' own units, pieces needed (a whole number >= 1)
 * @param items - what the shop has; an absent attribute is unknown, and unknown is never a match
 * @param substitutes - what may take the place of the part, each on its conditions
 * @returns an empty `fits` with `isNoMatch` is a valid, honest answer
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the pieces needed or a pack's pieces are no whole number >= 1
 * @validity compares what is stated; it does not know whether the statement is true
 * @source common practice, no source
 */
export function matchParts(
  requirement: Requirement,
  items: readonly Item[],
  substitutes: readonly Substitute[] = [],
): MatchResult {
  refuseUncountable(requirement.quantity, '/quantity')
  items.forEach(({ packQuantity }, index) => refuseUncountable(packQuantity, `/items/${index}/packQuantity`))
  const judged = judgeAll(requirement, items, substitutes).sort(compareJudged)
  const of = (verdict: Judged['verdict']) => judged.filter((one) => one.verdict === verdict)
  const [fits, confirmFirst, rejected] = [of('fits'), of('needs-confirmation'), of('rejected')]
  const isNoMatch = fits.length === 0 && confirmFirst.length === 0
  return {
    fits,
    confirmFirst,
    nearMisses: of('near-miss').map((one) => nearMiss(one, requirement)),
    rejected,
    rejections: countRejections(rejected),
    isNoMatch,
    minimalRelaxations: isNoMatch ? minimalRelaxations(judged) : [],
    contradictions: contradictionsOf(requirement.constraints),
  }
}
