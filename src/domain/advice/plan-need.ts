import { isLikely, type PlanCandidate, type PlanState } from './plan-candidates.ts'
import { LOSS } from './plan-clearing.ts'

/** A free act that takes no longer comes before everything [min]. Judgement. */
const QUICK_MINUTES = 2
/** The least that it must be expected to clear of a condition. Judgement. */
const WORTH_TRYING = 0.2
/** A step for causes that come to less is needless where one as likely as `FOUND` has its remedy already. Judgement. */
const NEEDLESS = 0.05
const FOUND = 0.9

/** What a candidate's causes of a condition come to, and what it is expected to remove of them. */
function shareOf({ known }: PlanState, { fixes }: PlanCandidate, effect: number) {
  const causes = new Set(known.instance.effects[effect]!.links.map(({ cause }) => cause))
  const own = fixes.filter(({ cause }) => causes.has(cause))
  return {
    likeliest: Math.max(0, ...own.map(({ probability }) => probability)),
    total: own.reduce((sum, { probability }) => sum + probability, 0),
    removed: own.reduce((sum, { probability, success }) => sum + probability * success, 0),
  }
}

const remedyOf = ({ known }: PlanState, { remedy }: PlanCandidate) => known.instance.release.remedies[remedy]!

/** Free, and the person at the site may do it now. */
const isFreeNow = (state: PlanState, candidate: PlanCandidate): boolean =>
  candidate.permit.verdict === 'allowed' && remedyOf(state, candidate).cost === 'none'

/** A free act of two minutes that touches nothing and may well clear something. */
export function isQuickAct(state: PlanState, candidate: PlanCandidate): boolean {
  const { minutes, disturbs } = remedyOf(state, candidate)
  if (!isFreeNow(state, candidate) || minutes > QUICK_MINUTES || disturbs.length > 0) return false
  return state.known.present.some(({ effect }) => shareOf(state, candidate, effect).removed >= WORTH_TRYING)
}

const bearsOn = (state: PlanState, candidate: PlanCandidate, effect: number): boolean =>
  shareOf(state, candidate, effect).removed >= WORTH_TRYING

/** Place of the worst loss among the conditions that a candidate may well clear. */
function lossOf(state: PlanState, candidate: PlanCandidate): number {
  const { conditions } = state.known.instance.release
  const losses = state.known.present.flatMap(({ condition, effect }) =>
    bearsOn(state, candidate, effect) ? [LOSS.indexOf(conditions[condition]!.severity)] : [],
  )
  return Math.min(LOSS.length, ...losses)
}

/** Of each condition the first chosen that may well clear it. */
function firstOfEach(state: PlanState, chosen: readonly PlanCandidate[]): Set<PlanCandidate> {
  const firsts = state.known.present.map(({ effect }) => chosen.find((candidate) => bearsOn(state, candidate, effect)))
  return new Set(firsts.filter((candidate) => candidate !== undefined))
}

/**
 * Candidates by need: quick free acts; then what is free now and the first for some condition, so that nobody has to wait
 * with it for what others do about the rest; then those for a likely cause and the first for each condition; each of these
 * by the worst loss, what is likely first among equals; then the rest. Equals stay in the order given.
 */
export function byNeed(state: PlanState, chosen: readonly PlanCandidate[]): PlanCandidate[] {
  const firsts = firstOfEach(state, chosen)
  const turnOf = (candidate: PlanCandidate): number => {
    if (isQuickAct(state, candidate)) return 0
    if (firsts.has(candidate) && isFreeNow(state, candidate)) return 1
    return isLikely(candidate) || firsts.has(candidate) ? 2 : 3
  }
  const keyOf = (candidate: PlanCandidate) => [turnOf(candidate), lossOf(state, candidate), isLikely(candidate) ? 0 : 1]
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
  const borne = state.known.present.flatMap(({ effect }) => {
    const own = shareOf(state, candidate, effect)
    return own.total > 0 ? [{ effect, total: own.total }] : []
  })
  return (
    borne.length > 0 &&
    borne.every(({ effect, total }) =>
      chosen.some((other) => {
        const { likeliest, total: theirs } = shareOf(state, other, effect)
        return (total < NEEDLESS && likeliest >= FOUND) || (theirs > 0 && isSamePart(state, candidate, other))
      }),
    )
  )
}
