import type { Gathered } from './gathered.ts'
import { isBeyondCaller } from './permit.ts'
import type { Plan } from './plan.ts'
import type { SearchedChecks } from './search-state.ts'

export type StopKind = 'danger' | 'confident' | 'does-not-fit' | 'needs-technician' | 'no-useful-check'

/** Thresholds of the stops. Judgement, to be set by recorded outcomes. */
const CONFIDENT_PROBABILITY = 0.9
/** As likely as not. */
const EVEN = 0.5

interface Explained {
  known: Gathered
  posterior: Float64Array
  unexplained: readonly { probability: number }[]
}
interface StopState extends Explained {
  searched: SearchedChecks
  plan: Plan
  refutedLeaders: number
  conflictBits: number
}

/** For the condition that is explained worst: probability that nothing modelled, or "something else here", brings it about. */
export function explainedByNothing({ known, posterior, unexplained }: Explained): number {
  const { keys, release, effects } = known.instance
  const others = known.present.map(({ effect }, position) => {
    const other = effects[effect]!.links.filter(({ cause }) => release.causes[keys[cause]!.cause]!.isOther).reduce(
      (sum, { cause }) => sum + posterior[cause]!,
      0,
    )
    return other + unexplained[position]!.probability
  })
  return Math.max(0, ...others)
}

/** Whether one of the remedies that the case calls for is not for the person at the site. */
function isForTechnician({ remedies, likely }: Plan): boolean {
  return remedies.some(({ remedy, permit }) => likely.includes(remedy) && isBeyondCaller(permit))
}

/** From here on findings pull apart, or causes were refuted, too often for chance. Judgement. */
const CONFLICT_BITS = 3
const REFUTED_LEADERS = 3

/** Whether what is known fits nothing: nothing modelled explains it, or whatever came to the front was refuted again. */
function doesNotFit(state: StopState): boolean {
  if (explainedByNothing(state) >= EVEN) return true
  const { keys, release } = state.known.instance
  const likeliest = state.posterior.reduce(
    (most, probability, cause) => (release.causes[keys[cause]!.cause]!.isOther ? most : Math.max(most, probability)),
    0,
  )
  const isAtOdds = state.conflictBits >= CONFLICT_BITS || state.refutedLeaders >= REFUTED_LEADERS
  return isAtOdds && likeliest < EVEN
}

/** Under this share nothing that the person at the site may do is expected to help. Judgement. */
const OUT_OF_REACH = 0.05

interface Worth {
  bits: number
  bitsPerMinute: number
}
/** A question worth this much, or this much a minute, is put before a technician is sent or nothing is found to fit. Judgement. */
const WORTH_ASKING: Worth = { bits: 0.12, bitsPerMinute: 0.05 }
/** Once everything is explained a question must be worth more. Judgement. */
const WORTH_ASKING_STILL: Worth = { bits: 0.2, bitsPerMinute: 0.1 }

const isWorthAsking = ({ searched }: StopState, { bits, bitsPerMinute }: Worth): boolean =>
  searched.checks.some((check) => check.gainBits >= bits || check.bitsPerMinute >= bitsPerMinute)

/** Whether what stands is for a technician. */
const isOutOfReach = ({ plan }: StopState): boolean => plan.remedies.length > 0 && plan.withinReach < OUT_OF_REACH

/** An answer speaks for a cause when the cause brings it about so many times as often as the background does. Judgement. */
const SPEAKS_FOR = 3

/** Whether something that was asked or measured, and not the display alone, speaks for a likely cause. */
function isConfirmed({ known, posterior }: StopState): boolean {
  const { effects } = known.instance
  const shown = new Set(known.present.map(({ effect }) => effect))
  return known.evidence.some(
    ({ effect, level, findings }) =>
      level > 0 &&
      findings.length > 0 &&
      !shown.has(effect) &&
      effects[effect]!.links.some(
        ({ cause, levels }) =>
          posterior[cause]! >= EVEN && levels[level]! >= SPEAKS_FOR * effects[effect]!.leak[level]!,
      ),
  )
}

/** Whether every condition that stands has a named cause that is nearly sure, and something beside the display speaks for it. */
function isExplained(state: StopState): boolean {
  const { known, posterior } = state
  const { keys, release, effects } = known.instance
  const isNamed = (cause: number) => !release.causes[keys[cause]!.cause]!.isOther
  const hasSureCause = ({ effect }: { effect: number }) =>
    effects[effect]!.links.some(({ cause }) => posterior[cause]! >= CONFIDENT_PROBABILITY && isNamed(cause))
  return known.present.every(hasSureCause) && isConfirmed(state)
}

/** Where nothing more is worth asking: whether the person at the site can go on alone. */
function withoutFurtherChecks({ searched, plan }: StopState): StopKind {
  const isForCaller = plan.withinReach >= EVEN
  const isRefused = searched.refused.some(({ permit }) => isBeyondCaller(permit))
  return isRefused && !isForCaller ? 'needs-technician' : 'no-useful-check'
}

/** The first stop that holds; undefined while asking on is worth it. Danger outranks everything. */
export function stopOf(state: StopState): StopKind | undefined {
  const { known, searched, plan } = state
  if (known.dangers.length > 0) return 'danger'
  const mustReadOn = known.isScreenMentioned && !known.isScreenComplete
  if (mustReadOn || known.present.length === 0) return undefined
  const isNothingLeft = searched.checks.length === 0 && searched.refused.length === 0
  const isSettled = isConfirmed(state) || isNothingLeft
  if (plan.likely.length > 0 && plan.likelyClears >= CONFIDENT_PROBABILITY && isSettled)
    return isForTechnician(plan) ? 'needs-technician' : 'confident'
  if (!isWorthAsking(state, WORTH_ASKING)) {
    if (doesNotFit(state)) return 'does-not-fit'
    if (isOutOfReach(state)) return 'needs-technician'
  }
  const isEnough = searched.checks.length === 0 || (isExplained(state) && !isWorthAsking(state, WORTH_ASKING_STILL))
  return isEnough ? withoutFurtherChecks(state) : undefined
}
