import { progressOf } from './first-questions.ts'
import { isAllCleared } from './gather-cleared.ts'
import { dangersToRuleOut, type Gathered } from './gathered.ts'
import { judgedNow } from './judged-later.ts'
import { isBeyondCaller } from './permit.ts'
import type { Plan } from './plan.ts'
import { WORTH_NAMING } from './plan-candidates.ts'
import type { SearchedChecks } from './search-state.ts'
import { type Explained, explainedByNothing } from './unexplained.ts'

export type StopKind = 'danger' | 'confident' | 'does-not-fit' | 'needs-technician' | 'no-useful-check'

/** Thresholds of the stops. Judgement, to be set by recorded outcomes. */
const CONFIDENT_PROBABILITY = 0.9
/** Enough to call a cheap first step likely to clear what stands, once no answer could change it. Judgement. */
const LIKELY_TO_CLEAR = 0.75
/** What clears less by itself cannot be called likely to clear what stands. Judgement. */
const WORKS = 0.6
/** As likely as not. */
const EVEN = 0.5

interface StopState extends Explained {
  searched: SearchedChecks
  plan: Plan
  /** A cheap first step comes before whatever could still be asked. */
  isActFirst: boolean
  refutedLeaders: number
  conflictBits: number
}

/** A remedy that removes a cause less often than this is no way out of it. Judgement. */
const HELPS = 0.3

/** Whether some condition has likely causes and every remedy for them in the plan is beyond the person at the site. */
function isForTechnician({ known, posterior, plan }: StopState): boolean {
  const { effects } = known.instance
  return judgedNow(known, posterior).some(({ effect }) => {
    const likely = new Set(effects[effect]!.links.flatMap(({ cause }) => (posterior[cause]! >= EVEN ? [cause] : [])))
    const forIt = plan.remedies.filter(({ fixes }) =>
      fixes.some(({ cause, success }) => likely.has(cause) && success >= HELPS),
    )
    return forIt.length > 0 && forIt.every(({ permit }) => isBeyondCaller(permit))
  })
}

/** Whether all that the case calls for is beyond the person at the site, so that no answer changes what comes first. */
function isAllForTechnician({ plan }: StopState): boolean {
  const likely = plan.remedies.filter(({ remedy }) => plan.likely.includes(remedy))
  return plan.withinReach < EVEN && likely.length > 0 && likely.every(({ permit }) => isBeyondCaller(permit))
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

/**
 * Whether the display alone leaves no doubt about what to do: of each item either one step cures whatever brings it about, or a
 * likely cause is shown by another item as well.
 */
function isToldByDisplay({ known, posterior, plan }: StopState): boolean {
  const { keys, release, effects } = known.instance
  const now = judgedNow(known, posterior)
  const causesOf = (effect: number) => effects[effect]!.links.map(({ cause }) => cause)
  const isNamed = (cause: number) => !release.causes[keys[cause]!.cause]!.isOther
  return now.every(({ effect, condition }) => {
    const named = causesOf(effect).filter((cause) => isNamed(cause) && posterior[cause]! >= WORTH_NAMING)
    const others = now.filter((one) => one.condition !== condition).map((one) => causesOf(one.effect))
    const isShownTwice = named.some((cause) => posterior[cause]! >= EVEN && others.some((one) => one.includes(cause)))
    const cures = plan.remedies.map(({ fixes }) => fixes.map(({ cause }) => cause))
    return isShownTwice || cures.some((cured) => named.every((cause) => cured.includes(cause)))
  })
}

/** Whether every condition that stands has a named cause that is nearly sure, and something beside the display speaks for it. */
function isExplained(state: StopState): boolean {
  const { known, posterior } = state
  const { keys, release, effects } = known.instance
  const isNamed = (cause: number) => !release.causes[keys[cause]!.cause]!.isOther
  const hasSureCause = ({ effect }: { effect: number }) =>
    effects[effect]!.links.some(({ cause }) => posterior[cause]! >= CONFIDENT_PROBABILITY && isNamed(cause))
  return judgedNow(known, posterior).every(hasSureCause) && isConfirmed(state)
}

/** Where nothing more is worth asking: whether the person at the site can go on alone. */
function withoutFurtherChecks(state: StopState): StopKind {
  const { searched, plan } = state
  if (isForTechnician(state)) return 'needs-technician'
  const isForCaller = plan.withinReach >= EVEN
  const isRefused = searched.refused.some(({ permit }) => isBeyondCaller(permit))
  return isRefused && !isForCaller ? 'needs-technician' : 'no-useful-check'
}

/** Whether more of the display can be read before anything else: not by somebody who is not there. */
function mustReadOn({ known, searched }: StopState): boolean {
  const { checks } = known.instance.release
  const cannot = searched.refused.some(({ check }) => checks[check]!.model.kind === 'reveals')
  return known.isScreenMentioned && !known.isScreenComplete && !cannot
}

/** Whether all that was reported has cleared, and every question that it called for first was put. */
const isOver = (known: Gathered): boolean =>
  isAllCleared(known) && [...dangersToRuleOut(known)].every((check) => progressOf(known, check) !== 'open')

/** The first stop that holds; undefined while asking on is worth it. Danger outranks everything. */
export function stopOf(state: StopState): StopKind | undefined {
  const { known, searched, plan } = state
  if (known.dangers.length > 0) return 'danger'
  if (mustReadOn(state)) return undefined
  if (known.present.length === 0) return isOver(known) ? 'no-useful-check' : undefined
  const isNothingLeft = searched.checks.length === 0 && searched.refused.length === 0
  const isSettled = isConfirmed(state) || (isNothingLeft && isToldByDisplay(state))
  const isLikelyDone = plan.likely.length > 0 && plan.likelyClears >= CONFIDENT_PROBABILITY && isSettled
  if (isLikelyDone && isForTechnician(state)) return 'needs-technician'
  if (isLikelyDone && plan.likelyWorks >= WORKS) return 'confident'
  if (isExplained(state) && isAllForTechnician(state)) return 'needs-technician'
  if (state.isActFirst)
    return isConfirmed(state) && plan.likelyClears >= LIKELY_TO_CLEAR ? 'confident' : 'no-useful-check'
  if (!isWorthAsking(state, WORTH_ASKING)) {
    if (doesNotFit(state)) return 'does-not-fit'
    if (isOutOfReach(state)) return 'needs-technician'
  }
  const isEnough = searched.checks.length === 0 || (isExplained(state) && !isWorthAsking(state, WORTH_ASKING_STILL))
  return isEnough ? withoutFurtherChecks(state) : undefined
}
