import { DONT_KNOW } from '../findings/finding.ts'
import type { CompiledAnswer, CompiledRelease, CompiledStep } from './compiled.ts'
import type { Gathered } from './gathered.ts'
import { answersTo, isKnownResult } from './goes-with.ts'
import { byUnsure } from './obstacles.ts'
import type { Permit } from './permit.ts'

/** Whether a question can be put, now or after others, with what is known and at hand. */
export type CanReach = (check: number) => boolean

/** An earlier check must have given the result, and no other beside it. */
export function byRequirements(
  release: CompiledRelease,
  { requires, requiresAny = [] }: CompiledStep,
  known: Gathered,
  device: string | undefined,
  canReach: CanReach,
): Permit[] {
  const waitsFor = (needed: CompiledAnswer): Permit[] => {
    if (isKnownResult(known, needed, device)) return []
    const { check, result } = needed
    const unsure = byUnsure(known, check)
    if (unsure.length > 0) return unsure
    const detail = `${release.checks[check]!.id} ${result}`
    return answersTo(known, check, device) === undefined
      ? [{ verdict: 'after', check }]
      : [{ verdict: 'refused', reason: 'wrong-earlier-result', detail }]
  }
  return [...requires.flatMap(waitsFor), ...oneOf(requiresAny.map(waitsFor), canReach)]
}

/** Whether an answer rules a step out: another result was given than the one it needs, or than any of those that would do. */
export function isRuledOutByAnswers(
  known: Gathered,
  { requires, requiresAny = [] }: CompiledStep,
  device: string | undefined,
): boolean {
  if (known.answers.size === 0) return false
  const isOther = (needed: CompiledAnswer) => {
    const answers = answersTo(known, needed.check, device)
    if (answers === undefined || [...answers].every((result) => result === DONT_KNOW)) return false
    return !isKnownResult(known, needed, device)
  }
  return requires.some(isOther) || (requiresAny.length > 0 && requiresAny.every(isOther))
}

/**
 * Of several results one is enough; while none is known, the first that can be reached is asked for, else the first that is not
 * answered.
 */
function oneOf(each: readonly Permit[][], canReach: CanReach): Permit[] {
  if (each.some((permits) => permits.length === 0)) return []
  const open = each.filter(([permit]) => permit?.verdict === 'after')
  if (open.length < 2) return open[0] ?? each[0] ?? []
  return open.find(([permit]) => permit?.verdict === 'after' && canReach(permit.check)) ?? open[0]!
}
