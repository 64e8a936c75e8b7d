import type { Limits } from '../findings/finding.ts'
import type { CompiledRelease, CompiledStep } from './compiled.ts'
import type { Gathered } from './gather.ts'

export type RefusalReason =
  | 'needs-technician'
  | 'needs-tool'
  | 'takes-too-long'
  | 'hazard-present'
  | 'gate-closed'
  | 'wrong-earlier-result'

/** May this step be offered now: yes, only after another check, or not to this person. */
export type Permit =
  | { verdict: 'allowed' }
  | { verdict: 'after'; check: number; gate?: string }
  | { verdict: 'refused'; reason: RefusalReason; detail: string }

const SKILL = { caller: 0, handy: 1, technician: 2 } as const
const ALLOWED: Permit = { verdict: 'allowed' }

const refuse = (reason: RefusalReason, detail: string): Permit => ({ verdict: 'refused', reason, detail })

function byLimits(step: CompiledStep, limits: Limits): Permit {
  if (SKILL[step.who] > SKILL[limits.who]) return refuse('needs-technician', step.who)
  const missing = step.tools.find((tool) => !limits.tools.includes(tool))
  if (missing !== undefined) return refuse('needs-tool', missing)
  const minutes = step.minutes + step.waitMinutes
  if (limits.minutes !== undefined && minutes > limits.minutes) return refuse('takes-too-long', `${minutes} min`)
  return ALLOWED
}

function byHazards(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit {
  for (const hazard of step.hazards) {
    const stop = release.hazards[hazard]!.stopIf.find((context) => known.contexts.has(context))
    if (stop !== undefined)
      return refuse('hazard-present', `${release.hazards[hazard]!.id} ${release.contexts[stop]!.id}`)
  }
  return ALLOWED
}

/** A gate opens by one of its contexts; while nothing of their dimension is known, its question comes first. */
function byGates(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit {
  for (const gate of release.gates) {
    const applies =
      gate.disturbs.some((part) => step.disturbs.includes(part)) && (gate.place ?? step.place) === step.place
    if (!applies || gate.needs.some((context) => known.contexts.has(context))) continue
    const wasAsked = known.answers.has(gate.ask)
    const dimension = release.contexts[gate.needs[0]!]!.dimension
    const isKnown = [...known.contexts.keys()].some((context) => release.contexts[context]!.dimension === dimension)
    if (wasAsked || isKnown) return refuse('gate-closed', gate.id)
    return { verdict: 'after', check: gate.ask, gate: gate.id }
  }
  return ALLOWED
}

function byRequirements(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit {
  for (const { check, result } of step.requires) {
    const answers = known.answers.get(check)
    if (answers?.has(result)) continue
    if (answers === undefined) return { verdict: 'after', check }
    return refuse('wrong-earlier-result', `${release.checks[check]!.id} ${result}`)
  }
  return ALLOWED
}

/**
 * Whether a step may be offered: skill, tools and time first, then hazards whose stop facts hold, then the gates
 * on what it disturbs, then the results it needs. Nothing here is ever traded against usefulness.
 */
export function permit(release: CompiledRelease, step: CompiledStep, known: Gathered, limits: Limits): Permit {
  const limited = byLimits(step, limits)
  if (limited.verdict !== 'allowed') return limited
  if (limits.who !== 'technician') {
    const hazardous = byHazards(release, step, known)
    if (hazardous.verdict !== 'allowed') return hazardous
    const gated = byGates(release, step, known)
    if (gated.verdict !== 'allowed') return gated
  }
  return byRequirements(release, step, known)
}
