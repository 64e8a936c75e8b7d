import type { Limits } from '../findings/finding.ts'
import { isBeyondSenses } from './candidates.ts'
import type { CompiledRelease, CompiledStep } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { isKeptBack } from './goes-with.ts'
import { byFirstQuestions, byGates, byHazards, byPlace, type Obstacle, obstacleName } from './obstacles.ts'
import { byRequirements, type CanReach } from './requirements.ts'

export type RefusalReason =
  | 'needs-technician'
  | 'needs-tool'
  | 'takes-too-long'
  | 'hazard-present'
  | 'gate-closed'
  | 'not-on-site'
  | 'wrong-earlier-result'
  | 'owner-not-verified'

/** A step that may not be carried out as things are; `lift`: all in its way, where the person at the site can lift each of it. */
export interface Refused {
  verdict: 'refused'
  reason: RefusalReason
  detail: string
  lift?: readonly Obstacle[]
}

/** May this step be offered now: yes, only after another check and, `held`, once something is lifted, or not as things are. */
export type Permit =
  | { verdict: 'allowed' }
  | { verdict: 'after'; check: number; gate?: string; held?: Refused }
  | Refused

/** What has to be lifted before a step; nothing where that alone would not do. */
export function liftsOf(step: Permit): readonly Obstacle[] {
  if (step.verdict === 'allowed') return []
  return (step.verdict === 'after' ? step.held?.lift : step.lift) ?? []
}

/** Whether a step may not be carried out as things are, and the person at the site lifts nothing that is in its way. */
export const isRefused = (step: Permit): boolean => step.verdict === 'refused' && liftsOf(step).length === 0

/** Refusals that no tool, time or better answer would lift for the person at the site. */
const BEYOND_CALLER: readonly RefusalReason[] = ['needs-technician', 'gate-closed', 'hazard-present']
export const isBeyondCaller = (step: Permit): boolean =>
  step.verdict === 'refused' && BEYOND_CALLER.includes(step.reason) && isRefused(step)

const SKILL = { caller: 0, handy: 1, technician: 2 } as const
const ALLOWED: Permit = { verdict: 'allowed' }

const refuse = (reason: RefusalReason, detail: string): Permit => ({ verdict: 'refused', reason, detail })

function bySkill(step: CompiledStep, limits: Limits): Permit[] {
  return SKILL[step.who] > SKILL[limits.who] ? [refuse('needs-technician', step.who)] : []
}

/** Tools that were named, and those nearly everybody has, less what is said to be lacking. */
function hasTool({ toolsAtHand = [] }: CompiledRelease, { tools, lackingTools = [] }: Limits, tool: string): boolean {
  return tools.includes(tool) || (toolsAtHand.includes(tool) && !lackingTools.includes(tool))
}

function byMeans(release: CompiledRelease, step: CompiledStep, limits: Limits): Permit[] {
  const missing = step.tools.find((tool) => !hasTool(release, limits, tool))
  const minutes = step.minutes + step.waitMinutes
  return [
    ...(missing === undefined ? [] : [refuse('needs-tool', missing)]),
    ...(limits.minutes !== undefined && minutes > limits.minutes ? [refuse('takes-too-long', `${minutes} min`)] : []),
  ]
}

/** What leaves the building less protected is only for a person who may decide that. */
function byOwner({ lowersSecurity }: CompiledStep, { isOwnerVerified }: Limits): Permit[] {
  return lowersSecurity && !isOwnerVerified ? [refuse('owner-not-verified', 'limits.ownerVerified')] : []
}

/** The same obstacle named once. */
const unique = (obstacles: readonly Obstacle[]): Obstacle[] => [
  ...new Map(obstacles.map((one) => [obstacleName(one), one])).values(),
]

const isRefusal = (one: Permit): one is Refused => one.verdict === 'refused'

/**
 * One verdict out of all that speaks against a step. What nobody at the site can change comes first, so that nobody is
 * asked or sent away in vain; then dangers and gates that are still open; then what has to be lifted; then other questions.
 */
function settled(forCaller: readonly Permit[], others: readonly Permit[]): Permit {
  const all = [...forCaller, ...others]
  const refusals = all.filter(isRefusal)
  const lasting = refusals.find((one) => liftsOf(one).length === 0)
  if (lasting !== undefined) return lasting
  const [first] = refusals
  if (first === undefined) return all[0] ?? ALLOWED
  const held = { ...first, lift: unique(refusals.flatMap(liftsOf)) }
  const open = forCaller.find((one) => one.verdict === 'after')
  return open === undefined ? held : { ...open, held }
}

const situations = new WeakMap<Gathered, Map<CompiledStep, readonly Permit[]>>()

/** What the situation holds against a step for anybody but a technician; kept with what is known, for most steps are looked at more than once. */
function bySite(release: CompiledRelease, step: CompiledStep, known: Gathered): readonly Permit[] {
  const kept = situations.get(known) ?? new Map<CompiledStep, readonly Permit[]>()
  situations.set(known, kept)
  const found = kept.get(step) ?? [
    ...byFirstQuestions(release, step, known),
    ...byHazards(release, step, known),
    ...byGates(release, step, known),
    ...byPlace(release, step, known),
  ]
  kept.set(step, found)
  return found
}

/** All that speaks against a step: what the person or the place does, and what earlier answers and means do. */
function objections(
  release: CompiledRelease,
  step: CompiledStep,
  known: Gathered,
  limits: Limits,
  device?: string,
  behind: readonly number[] = [],
) {
  const canReach: CanReach = (check) => isReachable(release, check, known, limits, device, behind)
  const forCaller = limits.who === 'technician' ? [] : bySite(release, step, known)
  return {
    bySituation: [...bySkill(step, limits), ...byOwner(step, limits), ...forCaller],
    byEarlier: [...byRequirements(release, step, known, device, canReach), ...byMeans(release, step, limits)],
  }
}

/**
 * Whether a question can be put, now or after others, with what is known and at hand.
 *
 * @param behind - questions that wait for this one: none of them opens its way
 */
function isReachable(
  release: CompiledRelease,
  check: number,
  known: Gathered,
  limits: Limits,
  device: string | undefined,
  behind: readonly number[],
): boolean {
  const step = release.checks[check]!
  if (behind.includes(check) || isKeptBack(known, step, device) || isBeyondSenses(step, limits)) return false
  const way = [...behind, check]
  const { bySituation, byEarlier } = objections(release, step, known, limits, device, way)
  const next = settled(bySituation, byEarlier)
  if (next.verdict === 'refused') return false
  return (
    next.verdict === 'allowed' ||
    (next.held === undefined && isReachable(release, next.check, known, limits, device, way))
  )
}

/** Every question that has to be answered before a step, each once. */
export function openQuestions(
  release: CompiledRelease,
  step: CompiledStep,
  known: Gathered,
  limits: Limits,
  device?: string,
): number[] {
  const { bySituation, byEarlier } = objections(release, step, known, limits, device)
  return [...new Set([...bySituation, ...byEarlier].flatMap((one) => (one.verdict === 'after' ? [one.check] : [])))]
}

/**
 * Whether a step may be offered. What surely forbids it comes before what is still to be asked, so that nobody is asked
 * in vain: skill, whether the caller may decide, hazards whose stop facts hold, gates on what it disturbs, results it needs; then tools and time; then
 * open questions, gates first. What the person at the site can lift (a call to the monitoring center, a second person)
 * holds the step back like any other obstacle until it is lifted. Nothing here is ever traded against usefulness.
 */
export function permit(
  release: CompiledRelease,
  step: CompiledStep,
  known: Gathered,
  limits: Limits,
  device?: string,
): Permit {
  const { bySituation, byEarlier } = objections(release, step, known, limits, device)
  return settled(bySituation, byEarlier)
}
