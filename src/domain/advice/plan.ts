import { clearing, clearingEach } from '../diagnosis/clear.ts'
import type { Prepared } from '../diagnosis/prepare.ts'
import type { Limits } from '../findings/finding.ts'
import type { CompiledRemedy } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { isBeyondCaller, type Permit, permit } from './permit.ts'
import { remedyCostMinutes } from './remedy-cost.ts'

export interface PlannedRemedy {
  remedy: number
  /** Indexes of the network's causes that it removes, with their posterior. */
  fixes: { cause: number; probability: number }[]
  /** Probability that this and the remedies before it clear everything that stands. */
  clearsProbability: number
  permit: Permit
  /** Likely causes that must be cured before a part fitted by this remedy will last. */
  openRoots: { cause: number; probability: number }[]
}

export interface Plan {
  remedies: PlannedRemedy[]
  /** Remedies of a likely cause. */
  likely: number[]
  /** For the condition that they clear least surely: probability that these alone clear it, each carried out until it works. */
  likelyClears: number
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

/** A remedy is considered when it removes a cause at least this likely, and chosen when it clears as much. Judgement. */
const WORTH_CONSIDERING = 0.03
/** Causes less likely than this are not named among what a remedy fixes. Judgement. */
const WORTH_NAMING = 0.01
/** A root is named when it is at least this likely. Judgement. */
const ROOT_PROBABILITY = 0.2
/** Longest plan: more than a person follows on the phone. Judgement. */
const MAX_STEPS = 6
/** No remedy is added once this share of what stands is expected to clear. Judgement. */
const ENOUGH_FRACTION = 0.97

/** Conditions beyond these stand on the same causes as a rule: many devices of one kind. They bound the work. */
const MOST_WEIGHED = 12

/** Rates closer than this are the same: the last places of a number depend on the host. */
const TIE = 1e-12

interface PlanState {
  known: Gathered
  prepared: Prepared
  posterior: Float64Array
  limits: Limits
}

/** Where the causes of a remedy stand in the network, one for each device. */
function fixesOf({ known, posterior }: PlanState, remedy: CompiledRemedy) {
  return remedy.fixes.flatMap(({ cause, probability }) =>
    known.instance
      .copiesOf(cause)
      .filter((copy) => posterior[copy]! >= WORTH_NAMING)
      .map((copy) => ({ cause: copy, probability: posterior[copy]!, success: probability })),
  )
}

type Candidate = { remedy: number; fixes: ReturnType<typeof fixesOf>; cost: number }

function candidatesOf(state: PlanState): Candidate[] {
  const { instance, index } = state.known
  const { remedies } = instance.release
  const considered = instance.keys.flatMap(({ cause }, at) =>
    state.posterior[at]! >= WORTH_CONSIDERING ? index.remediesOf[cause]! : [],
  )
  return [...new Set(considered)]
    .sort((a, b) => a - b)
    .map((remedy) => ({
      remedy,
      fixes: fixesOf(state, remedies[remedy]!),
      cost: remedyCostMinutes(remedies[remedy]!),
    }))
}

function withFixes(fixed: readonly number[], fixes: Candidate['fixes']): number[] {
  const all = fixed.slice()
  for (const { cause, success } of fixes) all[cause] = 1 - (1 - all[cause]!) * (1 - success)
  return all
}

/** Sum over the conditions that stand of the probability that each clears, as a function of what is fixed. */
function expectedClearing({ known, prepared }: PlanState): (fixed: readonly number[]) => number {
  const effects = known.present.slice(0, MOST_WEIGHED).map(({ effect }) => effect)
  const each = clearingEach(prepared, effects)
  return (fixed) => each(fixed).reduce((sum, clears) => sum + clears, 0)
}

/** Likely causes that bring about what the candidate fixes and that it does not cure itself. */
function rootsOf({ known, posterior }: PlanState, candidate: Candidate): { cause: number; probability: number }[] {
  const { keys, release } = known.instance
  const fixed = new Set(candidate.fixes.map(({ cause }) => keys[cause]!.cause))
  return keys.flatMap(({ cause }, index) => {
    const probability = posterior[index]!
    if (probability < ROOT_PROBABILITY || fixed.has(cause)) return []
    return release.causes[cause]!.rootOf.some((leaf) => fixed.has(leaf)) ? [{ cause: index, probability }] : []
  })
}

/** No remedy can clear more, for each condition, than the chance that one of its causes is there at all. */
function mostCleared({ fixes }: Candidate, conditions: number): number {
  return (
    conditions *
    Math.min(
      1,
      fixes.reduce((sum, { probability }) => sum + probability, 0),
    )
  )
}

/**
 * The remedy that clears most per minute of cost beyond what the chosen ones clear already. Goes through the pool by what
 * each could clear at most and stops where no other can do better; ties go to the one the ontology lists first.
 */
function bestNext(
  expectedCleared: (fixed: readonly number[]) => number,
  conditions: number,
  pool: readonly Candidate[],
  fixed: readonly number[],
  cleared: number,
) {
  const bounded = pool
    .map((candidate) => ({ candidate, bound: mostCleared(candidate, conditions) / candidate.cost }))
    .sort((a, b) => b.bound - a.bound || a.candidate.remedy - b.candidate.remedy)
  let best: { candidate: Candidate; fixed: number[]; cleared: number; rate: number } | undefined
  for (const { candidate, bound } of bounded) {
    if (best !== undefined && bound < best.rate - TIE) break
    const next = withFixes(fixed, candidate.fixes)
    const total = expectedCleared(next)
    const rate = (total - cleared) / candidate.cost
    const isTie = best !== undefined && Math.abs(rate - best.rate) <= TIE
    if (best === undefined || (isTie ? candidate.remedy < best.candidate.remedy : rate > best.rate))
      best = { candidate, fixed: next, cleared: total, rate }
  }
  return best
}

/** Roots before what they bring about; otherwise the order found. */
function rootsFirst(state: PlanState, chosen: Candidate[]): Candidate[] {
  const { keys, release } = state.known.instance
  const leadsTo = (a: Candidate, b: Candidate) =>
    a.fixes.some(
      ({ cause, probability }) =>
        probability >= ROOT_PROBABILITY &&
        release.causes[keys[cause]!.cause]!.rootOf.some((leaf) =>
          b.fixes.some((fix) => keys[fix.cause]!.cause === leaf),
        ),
    )
  const seen = new Set<Candidate>()
  const withRoots = (candidate: Candidate): Candidate[] => {
    if (seen.has(candidate)) return []
    seen.add(candidate)
    return [...chosen.filter((other) => leadsTo(other, candidate)).flatMap(withRoots), candidate]
  }
  return chosen.flatMap(withRoots)
}

/** A fix that has worked. */
const done = (fix: Candidate['fixes'][number]) => ({ ...fix, success: 1 })

/** A cause at least this likely makes its remedy one of those that the case really calls for. Judgement. */
const LIKELY = 0.5
const isLikely = ({ fixes }: Candidate) => fixes.some(({ probability }) => probability >= LIKELY)

/** Greedy choice: each remedy adds most expected clearing per minute of cost to those before it. */
function choose(state: PlanState): Candidate[] {
  const pool = candidatesOf(state)
  const standing = Math.min(state.known.present.length, MOST_WEIGHED)
  const expectedCleared = expectedClearing(state)
  const chosen: Candidate[] = []
  let fixed = state.prepared.network.prior.map(() => 0)
  let cleared = expectedCleared(fixed)
  while (chosen.length < MAX_STEPS && standing > 0 && cleared < ENOUGH_FRACTION * standing) {
    const rest = pool.filter((candidate) => !chosen.includes(candidate))
    const best = bestNext(expectedCleared, standing, rest, fixed, cleared)
    if (!best || best.cleared - cleared < WORTH_CONSIDERING) break
    chosen.push(best.candidate)
    ;({ fixed, cleared } = best)
  }
  return chosen
}

/** Of the conditions that stand, the probability of the one that clears least surely. */
function leastCleared({ known, prepared }: PlanState, fixed: readonly number[]): number {
  const effects = known.present.map(({ effect }) => effect)
  return Math.min(1, ...clearingEach(prepared, effects)(fixed))
}

function withinReach(state: PlanState, ordered: readonly Candidate[], remedies: readonly PlannedRemedy[]): number {
  const none = state.prepared.network.prior.map(() => 0)
  const possible = ordered.filter((_, step) => !isBeyondCaller(remedies[step]!.permit))
  const fixed = possible.reduce((all, { fixes }) => withFixes(all, fixes.map(done)), none)
  const standing = Math.min(state.known.present.length, MOST_WEIGHED)
  return standing === 0 ? 1 : expectedClearing(state)(fixed) / standing
}

/** Expected minutes of attention, and the chance that the first step for a technician, or by a visit, is reached. */
function costOf({ known }: PlanState, remedies: readonly PlannedRemedy[]): PlanCost {
  const { release } = known.instance
  const reached = (step: number) => 1 - (remedies[step - 1]?.clearsProbability ?? 0)
  const visit = remedies.findIndex(({ remedy }) => {
    const { who, cost } = release.remedies[remedy]!
    return who === 'technician' || cost === 'visit'
  })
  return {
    minutes: remedies.reduce((sum, { remedy }, step) => sum + reached(step) * release.remedies[remedy]!.minutes, 0),
    visitProbability: visit < 0 ? 0 : reached(visit),
  }
}

/**
 * Remedies in the order to try: those that the case really calls for first, then by expected clearing per minute of
 * cost; a cause that brings about others is cured before them.
 * "Best next", not an optimal plan: after each one the display is read again and the plan made anew.
 * @source efficiency order p/C, J. B. Kadane and H. A. Simon (1977), as reported in the literature on troubleshooting
 */
export function planRemedies(state: PlanState): Plan {
  const { known, prepared, limits } = state
  const { release } = known.instance
  const chosen = choose(state)
  const ordered = rootsFirst(state, [...chosen.filter(isLikely), ...chosen.filter((one) => !isLikely(one))])
  const watched = known.present.map(({ effect }) => effect)
  const none = prepared.network.prior.map(() => 0)
  const clears = watched.length === 0 ? () => 0 : clearing(prepared, watched)
  let soFar = none
  const remedies = ordered.map((candidate) => {
    soFar = withFixes(soFar, candidate.fixes)
    return {
      remedy: candidate.remedy,
      fixes: candidate.fixes.map(({ cause, probability }) => ({ cause, probability })),
      clearsProbability: clears(soFar),
      permit: permit(release, release.remedies[candidate.remedy]!, known, limits),
      openRoots: release.remedies[candidate.remedy]!.partClasses.length > 0 ? rootsOf(state, candidate) : [],
    }
  })
  const likely = chosen.filter(isLikely)
  const cost = costOf(state, remedies)
  return {
    remedies,
    likely: likely.map(({ remedy }) => remedy),
    cost,
    withinReach: withinReach(state, ordered, remedies),
    likelyClears: leastCleared(
      state,
      likely.reduce((fixed, { fixes }) => withFixes(fixed, fixes.map(done)), none),
    ),
  }
}
