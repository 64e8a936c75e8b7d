import { DONT_KNOW, type Limits } from '../findings/finding.ts'
import type { CompiledAnswer, CompiledRelease, CompiledStep } from './compiled.ts'
import { askedKey, dangersToRuleOut, type Gathered, holdsSurely } from './gathered.ts'
import { answersTo, isKnownResult } from './goes-with.ts'

export type RefusalReason =
  | 'needs-technician'
  | 'needs-tool'
  | 'takes-too-long'
  | 'hazard-present'
  | 'gate-closed'
  | 'wrong-earlier-result'
  | 'owner-not-verified'

/** May this step be offered now: yes, only after another check, or not to this person. */
export type Permit =
  | { verdict: 'allowed' }
  | { verdict: 'after'; check: number; gate?: string }
  | { verdict: 'refused'; reason: RefusalReason; detail: string }

/** Refusals that no tool, time or better answer would lift for the person at the site. */
const BEYOND_CALLER: readonly RefusalReason[] = ['needs-technician', 'gate-closed', 'hazard-present']
export const isBeyondCaller = (step: Permit): boolean =>
  step.verdict === 'refused' && BEYOND_CALLER.includes(step.reason)

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

function byHazards(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  return step.hazards.flatMap((hazard) => {
    const { id, stopIf } = release.hazards[hazard]!
    const stop = stopIf.find((context) => known.contexts.has(context))
    return stop === undefined ? [] : [refuse('hazard-present', `${id} ${release.contexts[stop]!.id}`)]
  })
}

/** A gate opens by one of its contexts; while nothing of their dimension is known surely, its question comes first. */
function byGates(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  return release.gates.flatMap((gate): Permit[] => {
    const applies =
      gate.disturbs.some((part) => step.disturbs.includes(part)) && (gate.place ?? step.place) === step.place
    if (!applies || gate.needs.some((context) => holdsSurely(known, context))) return []
    const { dimension } = release.contexts[gate.needs[0]!]!
    const isKnown =
      dimension !== undefined &&
      [...known.contexts.keys()].some(
        (context) => release.contexts[context]!.dimension === dimension && holdsSurely(known, context),
      )
    const isClosed = isKnown || known.answers.has(askedKey(gate.ask, undefined))
    return isClosed ? [refuse('gate-closed', gate.id)] : [{ verdict: 'after', check: gate.ask, gate: gate.id }]
  })
}

/**
 * While a danger that a condition or an alarm may come with is not ruled out, its question comes before every step but the
 * question of another danger: two of them must not wait for each other.
 */
function byOpenDangers(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  if (release.checks.some((check) => check === step && check.model.kind === 'danger')) return []
  return [...dangersToRuleOut(known)].flatMap((check): Permit[] => {
    const { model, id } = release.checks[check]!
    const answers = known.answers.get(askedKey(check, undefined))
    if (model.kind !== 'danger') return []
    if (answers === undefined) return [{ verdict: 'after', check }]
    const isKnown = [...answers].some((answer) => answer !== DONT_KNOW)
    return isKnown ? [] : [refuse('hazard-present', `${release.hazards[model.hazard]!.id} ${id}`)]
  })
}

/** What leaves the building less protected is only for a person who may decide that. */
function byOwner({ lowersSecurity }: CompiledStep, { isOwnerVerified }: Limits): Permit[] {
  return lowersSecurity && !isOwnerVerified ? [refuse('owner-not-verified', 'limits.ownerVerified')] : []
}

/** An earlier check must have given the result, and no other beside it. */
function byRequirements(release: CompiledRelease, step: CompiledStep, known: Gathered, device?: string): Permit[] {
  const waitsFor = (needed: CompiledAnswer): Permit[] => {
    if (isKnownResult(known, needed, device)) return []
    const { check, result } = needed
    return answersTo(known, check, device) === undefined
      ? [{ verdict: 'after', check }]
      : [refuse('wrong-earlier-result', `${release.checks[check]!.id} ${result}`)]
  }
  return [...step.requires.flatMap(waitsFor), ...oneOf((step.requiresAny ?? []).map(waitsFor))]
}

/** Of several results one is enough; while none is known, the first that can still be found out is asked for. */
function oneOf(each: readonly Permit[][]): Permit[] {
  if (each.some((permits) => permits.length === 0)) return []
  return each.find(([permit]) => permit?.verdict === 'after') ?? each[0] ?? []
}

/**
 * Whether a step may be offered. What surely forbids it comes before what is still to be asked, so that nobody is asked
 * in vain: skill, whether the caller may decide, hazards whose stop facts hold, gates on what it disturbs, results it needs; then tools and time; then
 * open questions, gates first. Nothing here is ever traded against usefulness.
 */
export function permit(
  release: CompiledRelease,
  step: CompiledStep,
  known: Gathered,
  limits: Limits,
  device?: string,
): Permit {
  const forCaller =
    limits.who === 'technician'
      ? []
      : [...byOpenDangers(release, step, known), ...byHazards(release, step, known), ...byGates(release, step, known)]
  const all = [
    ...bySkill(step, limits),
    ...byOwner(step, limits),
    ...forCaller,
    ...byRequirements(release, step, known, device),
    ...byMeans(release, step, limits),
  ]
  return all.find(({ verdict }) => verdict === 'refused') ?? all[0] ?? ALLOWED
}
