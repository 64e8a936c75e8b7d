import type { CompiledRemedy } from './compiled.ts'
import { isRefused } from './permit.ts'
import { isLikely, LIKELY, type PlanCandidate, type PlanState } from './plan-candidates.ts'
import { type Share, sharesOf } from './plan-shares.ts'
import { LOSS } from './severity.ts'

/** A free act that takes no longer comes before everything [min]. Judgement. */
const QUICK_MINUTES = 2
/** An act for next to nothing is done before others come when it takes no longer [min]. Judgement. */
const SMALL_MINUTES = 30
/** What removes a cause as often is tried before anybody comes for this cause. Judgement. */
const HELPS = 0.5
/** The least that it must be expected to clear of a condition. Judgement. */
const WORTH_TRYING = 0.2
/** A step for causes that come to less is needless where one as likely as `FOUND` has its remedy already. Judgement. */
const NEEDLESS = 0.05
const FOUND = 0.9

/** Cost bands of what is done at once, without buying anything that has to be thought over. */
export const CHEAP = ['none', 'low']

/** Whether enough of a condition may well be removed. */
const bearsOn = ({ removed }: Share): boolean => removed >= WORTH_TRYING

const remedyOf = ({ known }: PlanState, { remedy }: PlanCandidate) => known.instance.release.remedies[remedy]!

/** Free, and the person at the site may do it now. */
const isFreeNow = (state: PlanState, candidate: PlanCandidate): boolean =>
  candidate.permit.verdict === 'allowed' && remedyOf(state, candidate).cost === 'none'

/** Whether somebody has to come for it. */
function isVisit(state: PlanState, candidate: PlanCandidate): boolean {
  const { who, cost } = remedyOf(state, candidate)
  return state.limits.who !== 'technician' && (who === 'technician' || cost === 'visit')
}

/** A free act of two minutes that touches nothing and may well clear something. */
export function isQuickAct(state: PlanState, candidate: PlanCandidate): boolean {
  const { minutes, disturbs } = remedyOf(state, candidate)
  if (!isFreeNow(state, candidate) || minutes > QUICK_MINUTES || disturbs.length > 0) return false
  return sharesOf(state, candidate).some(bearsOn)
}

/** Place of the worst loss among the conditions that a candidate may well clear. */
function lossOf(state: PlanState, candidate: PlanCandidate): number {
  const { conditions } = state.known.instance.release
  const own = sharesOf(state, candidate)
  const losses = state.known.present.flatMap(({ condition }, at) =>
    bearsOn(own[at]!) ? [LOSS.indexOf(conditions[condition]!.severity)] : [],
  )
  return Math.min(LOSS.length, ...losses)
}

/** Of each condition the first chosen that may well clear it and that is not refused as things are. */
function firstOfEach(state: PlanState, chosen: readonly PlanCandidate[]): Set<PlanCandidate> {
  const open = chosen.filter(({ permit }) => !isRefused(permit))
  const firsts = state.known.present.map((_, at) => open.find((one) => bearsOn(sharesOf(state, one)[at]!)))
  return new Set(firsts.filter((candidate) => candidate !== undefined))
}

/** Whether the person at the site can do a step, now or as soon as a question is answered. */
function isAtHand(state: PlanState, candidate: PlanCandidate): boolean {
  const { permit } = candidate
  const isOpen = permit.verdict === 'allowed' || (permit.verdict === 'after' && permit.held === undefined)
  return isOpen && !isVisit(state, candidate)
}

/** Whether a candidate may well clear some condition for which nothing of more weight is at hand. */
function isWorthTrying(state: PlanState, chosen: readonly PlanCandidate[], candidate: PlanCandidate): boolean {
  const isOutweighed = (at: number, { removed }: Share) =>
    chosen.some((other) => isAtHand(state, other) && sharesOf(state, other)[at]!.removed > removed)
  return sharesOf(state, candidate).some((own, at) => bearsOn(own) && !isOutweighed(at, own))
}

/** Small acts at hand, in the order given, up to the last that may remove enough of something to count. */
function ownActs(state: PlanState, chosen: readonly PlanCandidate[]): Set<PlanCandidate> {
  const isSmall = ({ cost, minutes }: CompiledRemedy) => CHEAP.includes(cost) && minutes <= SMALL_MINUTES
  const own = chosen.filter((one) => isAtHand(state, one) && isSmall(remedyOf(state, one)))
  const counts = (candidate: PlanCandidate) => sharesOf(state, candidate).some(({ removed }) => removed >= NEEDLESS)
  return new Set(own.slice(0, own.findLastIndex(counts) + 1))
}

/** Whether a candidate is for a likely cause, and not only for what a cheap act at hand removes more often than not. */
function isCalledFor(state: PlanState, chosen: readonly PlanCandidate[], candidate: PlanCandidate): boolean {
  if (!isLikely(candidate) || isAtHand(state, candidate)) return isLikely(candidate)
  const cheap = chosen.filter((other) => isAtHand(state, other) && CHEAP.includes(remedyOf(state, other).cost))
  const hasOwnAct = (cause: number) =>
    cheap.some(({ fixes }) => fixes.some((fix) => fix.cause === cause && fix.success >= HELPS))
  return candidate.fixes.some(({ cause, probability }) => probability >= LIKELY && !hasOwnAct(cause))
}

/** Turns by need. */
const TURN = { quick: 0, free: 1, calledFor: 2, own: 3, rest: 4 } as const

/**
 * Candidates by need: quick free acts; then what is free now and the first for some condition or worth trying, so that nobody
 * has to wait with it for what others do about the rest; then those for a likely cause, and the first for each condition
 * where it is for the person at the site; each of these by the worst loss, what is likely first among equals; then what is at
 * hand for next to nothing, before what is refused, costs money or needs a visit; then the rest. Equals stay in the order
 * given.
 */
export function byNeed(state: PlanState, chosen: readonly PlanCandidate[]): PlanCandidate[] {
  const firsts = firstOfEach(state, chosen)
  const own = ownActs(state, chosen)
  const turnOf = (candidate: PlanCandidate): number => {
    if (isQuickAct(state, candidate)) return TURN.quick
    const isFirst = firsts.has(candidate)
    if (isFreeNow(state, candidate) && (isFirst || isWorthTrying(state, chosen, candidate))) return TURN.free
    if (isFirst || isCalledFor(state, chosen, candidate)) return TURN.calledFor
    return own.has(candidate) ? TURN.own : TURN.rest
  }
  const keyOf = (candidate: PlanCandidate) => {
    const turn = turnOf(candidate)
    return turn >= TURN.own ? [turn, 0, 0] : [turn, lossOf(state, candidate), isLikely(candidate) ? 0 : 1]
  }
  const keys = new Map(chosen.map((candidate) => [candidate, keyOf(candidate)]))
  return chosen.toSorted((a, b) => {
    const [one, other] = [keys.get(a)!, keys.get(b)!]
    return one.map((value, at) => value - other[at]!).find((difference) => difference !== 0) ?? 0
  })
}

const DEAR = ['medium', 'high', 'visit']

/** Whether two remedies buy the same part: one may name more kinds than the other. */
function isSamePart(state: PlanState, a: PlanCandidate, b: PlanCandidate): boolean {
  const [one, other] = [remedyOf(state, a), remedyOf(state, b)]
  if (one.partClasses.length === 0 || other.partClasses.length === 0) return false
  if (!DEAR.includes(one.cost) || !DEAR.includes(other.cost)) return false
  const [few, many] = [one, other].sort((x, y) => x.partClasses.length - y.partClasses.length)
  return few!.partClasses.every((part) => many!.partClasses.includes(part))
}

/**
 * Whether a candidate adds nothing to those chosen: for every condition that it bears on either one of them fits the same
 * part, or one of them removes what is as good as found while its own causes hardly count.
 */
export function isNeedless(state: PlanState, candidate: PlanCandidate, chosen: readonly PlanCandidate[]): boolean {
  const own = sharesOf(state, candidate)
  const borne = own.flatMap(({ total }, at) => (total > 0 ? [at] : []))
  if (chosen.length === 0 || borne.length === 0) return false
  return borne.every((at) =>
    chosen.some((other) => {
      const { likeliest, total } = sharesOf(state, other)[at]!
      return (own[at]!.total < NEEDLESS && likeliest >= FOUND) || (total > 0 && isSamePart(state, candidate, other))
    }),
  )
}
