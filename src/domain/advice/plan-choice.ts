import { NEAR_RATIO } from './check-order.ts'
import { isBeyondCaller } from './permit.ts'
import { type PlanCandidate, type PlanState, planCandidates, WORTH_CONSIDERING, withFixes } from './plan-candidates.ts'
import { causesOfWeighed, clearingOfWeighed, noneFixed, sum } from './plan-clearing.ts'
import { Coverage } from './plan-coverage.ts'
import { isNeedless } from './plan-need.ts'

/** Longest plan: more than a person follows on the phone. Judgement. */
export const MAX_STEPS = 6
/** No remedy is added once this share of what stands is expected to clear, but where something has no remedy yet. */
const ENOUGH_FRACTION = 0.97
/** Rates closer than this are the same: the last places of a number depend on the host. */
const TIE = 1e-12

/** What the chosen remedies fix, and the probability that each condition clears by that. */
interface SoFar {
  fixed: number[]
  cleared: number[]
}

/** The conditions that a plan weighs: how surely each clears, and the causes of each. */
interface Weighed {
  clears: (fixed: readonly number[]) => number[]
  causes: readonly ReadonlySet<number>[]
}

/** A remedy on top of those chosen. */
interface Step extends SoFar {
  candidate: PlanCandidate
  /** Conditions expected to clear beyond those that clear already. */
  gain: number
  /** The same for each minute of cost. */
  rate: number
}

/** No remedy can clear more, for each condition, than the chance that one of its causes is there at all. */
function mostCleared({ fixes }: PlanCandidate, causes: readonly ReadonlySet<number>[]): number {
  let most = 0
  for (const own of causes) {
    let total = 0
    for (const { cause, probability } of fixes) if (own.has(cause)) total += probability
    most += Math.min(1, total)
  }
  return most
}

const isBetter = (step: Step, best: Step | undefined): boolean =>
  best === undefined ||
  (Math.abs(step.rate - best.rate) <= TIE ? step.candidate.remedy < best.candidate.remedy : step.rate > best.rate)

/** Whether an act of the person at the site is as good as one that is beyond that person. */
const isAsGood = (own: Step, best: Step): boolean => own.rate * NEAR_RATIO >= best.rate - TIE

/**
 * The remedy that clears most per minute of cost beyond what the chosen ones clear already, of those that still clear enough
 * to be worth a step; where it is beyond the person at the site, the best that is not if its rate is near. Goes through the pool by what each could clear at most and stops where
 * no other can do better; ties go to the one the ontology lists first.
 */
function bestNext(
  { clears, causes }: Weighed,
  pool: readonly PlanCandidate[],
  { fixed, cleared }: SoFar,
): Step | undefined {
  const before = sum(cleared)
  const bounded = pool
    .map((candidate) => ({ candidate, bound: mostCleared(candidate, causes) / candidate.cost }))
    .sort((a, b) => b.bound - a.bound || a.candidate.remedy - b.candidate.remedy)
  let best: Step | undefined
  let own: Step | undefined
  for (const { candidate, bound } of bounded) {
    if (best !== undefined && bound < (best === own ? best.rate : best.rate / NEAR_RATIO) - TIE) break
    const next = withFixes(fixed, candidate.fixes)
    const after = clears(next)
    const gain = sum(after) - before
    if (gain < WORTH_CONSIDERING) continue
    const step = { candidate, fixed: next, cleared: after, gain, rate: gain / candidate.cost }
    if (isBetter(step, best)) best = step
    if (!isBeyondCaller(candidate.permit) && isBetter(step, own)) own = step
  }
  return best !== undefined && own !== undefined && isAsGood(own, best) ? own : best
}

/**
 * Greedy choice: each remedy adds most expected clearing per minute of cost to those before it. Every condition that some
 * remedy can clear gets one: when no more places are left than there are conditions without a remedy, only remedies
 * for these are chosen; where there are more of them than places, those of the worst loss go first.
 */
export function chooseRemedies(state: PlanState): PlanCandidate[] {
  const pool = planCandidates(state)
  const conditions = { clears: clearingOfWeighed(state), causes: causesOfWeighed(state) }
  const { clears } = conditions
  const coverage = new Coverage(state, clears, pool)
  const fixed = noneFixed(state)
  const chosen: PlanCandidate[] = []
  let soFar: SoFar = { fixed, cleared: clears(fixed) }
  const bestOf = (rest: readonly PlanCandidate[]) => bestNext(conditions, rest, soFar)
  const bestFor = (conditions: readonly number[], rest: readonly PlanCandidate[]) =>
    bestOf(rest.filter((candidate) => conditions.some((condition) => coverage.isFor(candidate, condition))))
  while (chosen.length < MAX_STEPS && soFar.cleared.length > 0) {
    const places = MAX_STEPS - chosen.length
    const rest = pool.filter((candidate) => !chosen.includes(candidate) && !isNeedless(state, candidate, chosen))
    const { cleared } = soFar
    const isEnough = sum(cleared) >= ENOUGH_FRACTION * cleared.length
    const isFree = !isEnough && (cleared.length < places || coverage.withoutRemedy(cleared).length < places)
    const best = (isFree ? bestOf(rest) : undefined) ?? bestFor(coverage.withoutRemedy(cleared).slice(0, places), rest)
    if (best === undefined) break
    chosen.push(best.candidate)
    soFar = best
  }
  return chosen
}
