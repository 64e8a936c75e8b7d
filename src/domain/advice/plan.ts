import { clearing } from '../diagnosis/clear.ts'
import type { Gathered } from './gathered.ts'
import { judgedLater } from './judged-later.ts'
import { isBeyondCaller, type Permit } from './permit.ts'
import { type Fix, isLikely, type PlanCandidate, type PlanState, withFixes } from './plan-candidates.ts'
import { chooseRemedies } from './plan-choice.ts'
import { clearedShare, leastClearing, noneFixed } from './plan-clearing.ts'
import { byNeed } from './plan-need.ts'
import { inTurn } from './plan-order.ts'
import { rootsOf } from './plan-roots.ts'

export interface PlannedRemedy {
  remedy: number
  /** Indexes of the network's causes that it removes, with their posterior and the chance that it removes them. */
  fixes: readonly Fix[]
  /** Probability that this and the remedies before it clear everything that stands. */
  clearsProbability: number
  permit: Permit
  /** The device that its permit is about, where one is named. */
  device?: string
  /** Likely causes that must be cured before a part fitted by this remedy will last. */
  openRoots: { cause: number; probability: number }[]
}

export interface Plan {
  remedies: PlannedRemedy[]
  /** Remedies of a likely cause. */
  likely: number[]
  /** Battery items left out of what follows: they are judged once the supply is back. */
  judgedLater: Gathered['present']
  /** For the condition that they clear least surely: probability that these alone clear it, each carried out until it works. */
  likelyClears: number
  /** The same with the chance that each really works. */
  likelyWorks: number
  /** Share of what stands that is expected to clear by what this person may do, each carried out until it works. */
  withinReach: number
  cost: PlanCost
}

/** What the plan is expected to cost, each step weighed by the chance that those before it have not cleared everything. */
export interface PlanCost {
  minutes: number
  /** Probability that somebody has to come. */
  visitProbability: number
}

/** A fix that has worked. */
const done = (fix: Fix): Fix => ({ ...fix, success: 1 })

/** What is fixed once each of the remedies has been carried out until it works. */
const allDone = (state: PlanState, candidates: readonly PlanCandidate[]): number[] =>
  candidates.reduce((fixed, { fixes }) => withFixes(fixed, fixes.map(done)), noneFixed(state))

/** Expected minutes of attention, and the chance that the first step by a visit, or beyond the person at the site, is reached. */
function costOf({ known }: PlanState, remedies: readonly PlannedRemedy[]): PlanCost {
  const { release } = known.instance
  const reached = (step: number) => 1 - (remedies[step - 1]?.clearsProbability ?? 0)
  const visit = remedies.findIndex(({ remedy, permit }) => {
    const { who, cost } = release.remedies[remedy]!
    return who === 'technician' || cost === 'visit' || isBeyondCaller(permit)
  })
  return {
    minutes: remedies.reduce((sum, { remedy }, step) => sum + reached(step) * release.remedies[remedy]!.minutes, 0),
    visitProbability: visit < 0 ? 0 : reached(visit),
  }
}

function planned(state: PlanState, ordered: readonly PlanCandidate[]): PlannedRemedy[] {
  const { known, prepared } = state
  const watched = known.present.map(({ effect }) => effect)
  const clears = watched.length === 0 ? () => 0 : clearing(prepared, watched)
  let soFar = noneFixed(state)
  return ordered.map((candidate) => {
    soFar = withFixes(soFar, candidate.fixes)
    const fitsParts = known.instance.release.remedies[candidate.remedy]!.partClasses.length > 0
    return {
      remedy: candidate.remedy,
      fixes: candidate.fixes,
      clearsProbability: clears(soFar),
      permit: candidate.permit,
      ...(candidate.device === undefined ? {} : { device: candidate.device }),
      openRoots: fitsParts ? rootsOf(state, candidate) : [],
    }
  })
}

/**
 * Remedies in the order to try: quick free acts, then those that the case really calls for (what is free now, then by the
 * worst loss), then what else is at hand for next to nothing, then by expected clearing per minute of cost; before any of that,
 * a cause that brings about others is cured before them, supply, battery and clock are put right in this order where they count,
 * and a housing is closed after what is done inside it.
 * "Best next", not an optimal plan: after each one the display is read again and the plan made anew.
 * @source efficiency order p/C, J. B. Kadane and H. A. Simon (1977), as reported in the literature on troubleshooting
 */
export function planRemedies(state: PlanState): Plan {
  const chosen = chooseRemedies(state)
  const likely = chosen.filter(isLikely)
  const ordered = inTurn(state, byNeed(state, chosen))
  const remedies = planned(state, ordered)
  const leastCleared = leastClearing(state)
  const withinReach = ordered.filter(({ permit }) => !isBeyondCaller(permit))
  return {
    remedies,
    likely: likely.map(({ remedy }) => remedy),
    judgedLater: judgedLater(state.known, state.posterior),
    cost: costOf(state, remedies),
    withinReach: clearedShare(state, allDone(state, withinReach)),
    likelyClears: leastCleared(allDone(state, likely)),
    likelyWorks: leastCleared(likely.reduce((fixed, { fixes }) => withFixes(fixed, fixes), noneFixed(state))),
  }
}
