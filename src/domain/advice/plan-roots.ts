import type { PlanCandidate, PlanState } from './plan-candidates.ts'

/** A root is named, and cured first, when it is at least this likely. Judgement. */
export const ROOT_PROBABILITY = 0.2

/** Likely causes that bring about what the candidate fixes and that it does not cure itself. */
export function rootsOf({ known, posterior }: PlanState, candidate: PlanCandidate) {
  const { keys, release } = known.instance
  const fixed = new Set(candidate.fixes.map(({ cause }) => keys[cause]!.cause))
  const roots: { cause: number; probability: number }[] = []
  for (let index = 0; index < posterior.length; index++) {
    const probability = posterior[index]!
    if (probability < ROOT_PROBABILITY) continue
    const { cause } = keys[index]!
    if (!fixed.has(cause) && release.causes[cause]!.rootOf.some((leaf) => fixed.has(leaf)))
      roots.push({ cause: index, probability })
  }
  return roots
}
