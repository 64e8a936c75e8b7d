import type { PlanCandidate, PlanState } from './plan-candidates.ts'

/** A root is named, and cured first, when it is at least this likely. Judgement. */
export const ROOT_PROBABILITY = 0.2

/** Likely causes that bring about what the candidate fixes and that it does not cure itself. */
export function rootsOf({ known, posterior }: PlanState, candidate: PlanCandidate) {
  const { keys, release } = known.instance
  const fixed = new Set(candidate.fixes.map(({ cause }) => keys[cause]!.cause))
  return keys.flatMap(({ cause }, index) => {
    const probability = posterior[index]!
    if (probability < ROOT_PROBABILITY || fixed.has(cause)) return []
    return release.causes[cause]!.rootOf.some((leaf) => fixed.has(leaf)) ? [{ cause: index, probability }] : []
  })
}
