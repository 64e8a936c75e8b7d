import { causesOfEffect } from '../diagnosis/causes-of.ts'
import type { Fix, PlanCandidate, PlanState } from './plan-candidates.ts'

/** What a candidate's causes of one condition come to, and what it is expected to remove of them. */
export interface Share {
  likeliest: number
  total: number
  removed: number
}

function shareOf(fixes: readonly Fix[], ofCondition: ReadonlySet<number>): Share {
  const share = { likeliest: 0, total: 0, removed: 0 }
  for (const { cause, probability, success } of fixes) {
    if (!ofCondition.has(cause)) continue
    share.likeliest = Math.max(share.likeliest, probability)
    share.total += probability
    share.removed += probability * success
  }
  return share
}

const shares = new WeakMap<PlanCandidate, readonly Share[]>()
/** Shares of a candidate in each condition that stands; a candidate belongs to one case, so that they are worked out once. */
export function sharesOf({ known }: PlanState, candidate: PlanCandidate): readonly Share[] {
  const { effects } = known.instance
  const found =
    shares.get(candidate) ??
    known.present.map(({ effect }) => shareOf(candidate.fixes, causesOfEffect(effects[effect]!)))
  shares.set(candidate, found)
  return found
}
