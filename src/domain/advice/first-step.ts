import { DONT_KNOW } from '../findings/finding.ts'
import type { CompiledAnswer, CompiledRemedy } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { answersTo } from './goes-with.ts'
import { judgedNow } from './judged-later.ts'
import { liftsOf } from './permit.ts'
import type { PlannedRemedy } from './plan.ts'
import type { Fix } from './plan-candidates.ts'
import { ROOT_PROBABILITY } from './plan-roots.ts'
import type { NextCheck } from './search-state.ts'

/** What is known when it is decided whether a step comes before further questions. */
export interface Steps {
  known: Gathered
  posterior: ArrayLike<number>
  plan: readonly PlannedRemedy[]
}

/** A step that takes no longer is tried rather than asked about [min]. Judgement. */
const SHORT_MINUTES = 10
/** From here on a cheap step is the best question there is. Judgement. */
const LIKELY_ENOUGH = 0.7
/** The least that it must be expected to do. Judgement. */
const WORKS = 0.6
/** As likely as not. */
const EVEN = 0.5
/** Answers less likely than this are not waited for. Judgement. */
const CAN_BE_GIVEN = 0.05
/** What opens a box, a cover or a battery's place. */
const OPENS = ['cover', 'cell']

/** Whether the person at the site can carry a step out: now, once a gate's question is answered, or something is lifted. */
function isOpen({ known }: Steps, { remedy, permit, device }: PlannedRemedy): boolean {
  const { requires, requiresAny } = known.instance.release.remedies[remedy]!
  const isAnswered = ({ check }: CompiledAnswer) => answersTo(known, check, device) !== undefined
  const isSeen = requires.every(isAnswered) && (requiresAny?.some(isAnswered) ?? true)
  if (permit.verdict === 'after') return isSeen && permit.gate !== undefined
  return permit.verdict === 'allowed' || (isSeen && liftsOf(permit).length > 0)
}

const isCheap = ({ cost, minutes, lowersSecurity }: CompiledRemedy) =>
  (cost === 'none' || cost === 'low') && minutes <= SHORT_MINUTES && !lowersSecurity

/** Steps of a plan that can be tried at once for next to nothing, from its front. */
function cheapSteps(steps: Steps): readonly PlannedRemedy[] {
  const { known, plan } = steps
  const { remedies } = known.instance.release
  const at = plan.findIndex((step) => !isCheap(remedies[step.remedy]!) || !isOpen(steps, step))
  return plan.slice(0, at < 0 ? plan.length : at)
}

/** Whether a fix is as good as asked for. */
type Good = (fix: Fix) => boolean

/** Whether every condition that is judged now has one of the steps for a cause of it, as good as asked for. */
function coverAll({ known, posterior }: Steps, steps: readonly PlannedRemedy[], isGood: Good): boolean {
  const { effects } = known.instance
  const fixed = new Set(steps.flatMap(({ fixes }) => fixes.filter(isGood).map(({ cause }) => cause)))
  const conditions = judgedNow(known, posterior)
  return (
    conditions.length > 0 &&
    conditions.every(({ effect }) => effects[effect]!.links.some(({ cause }) => fixed.has(cause)))
  )
}

const isLikelyToWork: Good = ({ probability, success }) =>
  probability >= LIKELY_ENOUGH && probability * success >= WORKS

const isEven: Good = ({ probability }) => probability >= EVEN

/** Whether what may have brought about a cause that the steps remove is still open: then the item goes and its reason stays. */
function hasOpenRoot({ known, posterior }: Steps, steps: readonly PlannedRemedy[]): boolean {
  const { keys, release } = known.instance
  const removed = new Set(steps.flatMap(({ fixes }) => fixes.map(({ cause }) => cause)))
  const leaves = new Set(
    steps.flatMap(({ fixes }) => fixes.filter(isLikelyToWork).map(({ cause }) => keys[cause]!.cause)),
  )
  const open = keys.reduce((sum, { cause }, index) => {
    const isRoot = release.causes[cause]!.rootOf.some((leaf) => leaves.has(leaf))
    return isRoot && !removed.has(index) ? sum + posterior[index]! : sum
  }, 0)
  return open >= ROOT_PROBABILITY
}

/** Whether anybody has answered anything that speaks of a likely cause that the steps remove. */
function wasAsked({ known }: Steps, steps: readonly PlannedRemedy[]): boolean {
  const { keys } = known.instance
  const removed = new Set(steps.flatMap(({ fixes }) => fixes.filter(isEven).map(({ cause }) => keys[cause]!.cause)))
  return [...known.answers].some(
    ([key, said]) =>
      [...said].some((result) => result !== DONT_KNOW) &&
      known.index.causesOfCheck[Number(key.split(' ')[0])]!.some((cause) => removed.has(cause)),
  )
}

/**
 * Whether to act rather than to ask on: cheap steps stand in front of the plan for a likely cause of everything, and no
 * answer that can well be given would make any of them unlikely. What stays after them is asked then.
 */
export function isActFirst(steps: Steps, checks: readonly NextCheck[]): boolean {
  const cheap = cheapSteps(steps)
  if (!coverAll(steps, cheap, isLikelyToWork) || !wasAsked(steps, cheap) || hasOpenRoot(steps, cheap)) return false
  const likely = cheap.filter(({ fixes }) => fixes.some(isEven))
  const doStand = (posterior: ArrayLike<number>) => {
    const isStillEven: Good = ({ cause }) => posterior[cause]! >= EVEN
    return coverAll(steps, cheap, isStillEven) && likely.every(({ fixes }) => fixes.some(isStillEven))
  }
  return checks.every((check) =>
    (check.opensResults ?? check.results).every(
      ({ probability, posterior }) => probability < CAN_BE_GIVEN || doStand(posterior),
    ),
  )
}

/** Whether free steps that disturb nothing stand in front for a likely cause of everything: then nothing is opened to look. */
function isFreeFirst(steps: Steps): boolean {
  const { remedies } = steps.known.instance.release
  const isFree = ({ remedy, permit }: PlannedRemedy) =>
    permit.verdict === 'allowed' && remedies[remedy]!.cost === 'none' && remedies[remedy]!.disturbs.length === 0
  const at = steps.plan.findIndex((step) => !isFree(step))
  const free = steps.plan.slice(0, at < 0 ? steps.plan.length : at)
  return wasAsked(steps, free) && coverAll(steps, free, isEven)
}

/** Questions to be put now, and those that open something and are put only if a free step before them does not help. */
export function deferred(steps: Steps, checks: readonly NextCheck[]): { now: NextCheck[]; later: NextCheck[] } {
  if (!isFreeFirst(steps)) return { now: [...checks], later: [] }
  const { release } = steps.known.instance
  const opens = ({ check, before }: NextCheck) =>
    [check, before].some(
      (one) => one !== undefined && release.checks[one]!.disturbs.some((part) => OPENS.includes(part)),
    )
  return { now: checks.filter((one) => !opens(one)), later: checks.filter(opens) }
}
