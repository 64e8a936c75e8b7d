import type { CompiledCheck, CompiledGate, CompiledRelease, CompiledStep } from './compiled.ts'
import { liftOfSign, progressOf, signOf } from './first-questions.ts'
import { askedKey, dangersToRuleOut, type Gathered, holdsSurely } from './gathered.ts'
import type { Permit } from './permit.ts'
import { indexRelease } from './release-index.ts'

/** What stands in the way of a step and the person at the site can lift: a gate, a circumstance by its index, or that nobody knows the answer to the question of a danger. */
export type Obstacle = { gate: string } | { context: number } | { unsure: number }

/** One name for one obstacle. */
export const obstacleName = (one: Obstacle): string =>
  'gate' in one ? one.gate : 'context' in one ? `context ${one.context}` : `unsure ${one.unsure}`

/** A step that only waits until something is lifted. */
const toBeLifted = (
  reason: 'hazard-present' | 'gate-closed' | 'not-on-site',
  detail: string,
  lift: Obstacle[],
): Permit => ({ verdict: 'refused', reason, detail, lift })

/** A step is held back by the circumstances that its hazards stop at; what cannot be lifted among them comes first. */
export function byHazards(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  return step.hazards.flatMap((hazard): Permit[] => {
    const { id, stopIf } = release.hazards[hazard]!
    const standing = stopIf.filter((context) => known.contexts.has(context))
    const lasting = standing.find((context) => !release.contexts[context]!.isLiftable)
    const stop = lasting ?? standing[0]
    if (stop === undefined) return []
    const detail = `${id} ${release.contexts[stop]!.id}`
    if (lasting !== undefined) return [{ verdict: 'refused', reason: 'hazard-present', detail }]
    return [
      toBeLifted(
        'hazard-present',
        detail,
        standing.map((context) => ({ context })),
      ),
    ]
  })
}

/** What lifts a closed gate: what lifts the circumstance that closes it, else what the gate itself says. */
function liftOf({ contexts }: CompiledRelease, gate: CompiledGate, closing: number | undefined): Obstacle[] {
  if (closing !== undefined) return contexts[closing]!.isLiftable ? [{ context: closing }] : []
  return gate.isLiftable ? [{ gate: gate.id }] : []
}

/** A gate opens by one of its contexts; while nothing of their dimension is known surely, its question comes first. */
export function byGates(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  return release.gates.flatMap((gate): Permit[] => {
    const applies =
      gate.disturbs.some((part) => step.disturbs.includes(part)) && (gate.place ?? step.place) === step.place
    if (!applies || gate.needs.some((context) => holdsSurely(known, context))) return []
    const { dimension } = release.contexts[gate.needs[0]!]!
    const closing =
      dimension === undefined
        ? undefined
        : [...known.contexts.keys()].find(
            (context) => release.contexts[context]!.dimension === dimension && holdsSurely(known, context),
          )
    const isClosed = closing !== undefined || known.answers.has(askedKey(gate.ask, undefined))
    if (!isClosed) return [{ verdict: 'after', check: gate.ask, gate: gate.id }]
    const lift = liftOf(release, gate, closing)
    return lift.length > 0
      ? [toBeLifted('gate-closed', gate.id, lift)]
      : [{ verdict: 'refused', reason: 'gate-closed', detail: gate.id }]
  })
}

/** Where somebody who is elsewhere can do a step. */
const ELSEWHERE = ['anywhere', 'phone-or-app']
const REMOTE = 'context/caller-remote'

const isDangerCheck = (step: CompiledStep): boolean =>
  'model' in step && (step as CompiledCheck).model.kind === 'danger'

/** Somebody who is not at the alarm can neither look nor touch; a sign of danger is asked for all the same. */
export function byPlace(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  const remote = indexRelease(release).context.get(REMOTE)
  const isAway = remote !== undefined && known.contexts.has(remote) && !isDangerCheck(step)
  return isAway && !ELSEWHERE.includes(step.place) ? [toBeLifted('not-on-site', step.place, [{ context: remote }])] : []
}

/** Who was asked for a sign of danger and does not know makes sure of it before a step that it bears on; nothing for another question. */
export function byUnsure(known: Gathered, check: number): Permit[] {
  const { release } = known.instance
  const sign = signOf(release.checks[check]!)
  if (sign === undefined || progressOf(known, check) !== 'unsure') return []
  const context = liftOfSign(known, check)
  const detail = `${release.hazards[sign.hazard]!.id} ${release.checks[check]!.id}`
  return [toBeLifted('hazard-present', detail, [context === undefined ? { unsure: check } : { context }])]
}

/**
 * While a question that a condition or an alarm calls for first is open, it comes before every step but the question of a
 * danger; of other questions of that kind none waits for another. Who does not know whether there is a danger makes sure of it
 * before anything else.
 */
export function byFirstQuestions(release: CompiledRelease, step: CompiledStep, known: Gathered): Permit[] {
  if (isDangerCheck(step)) return []
  const first = [...dangersToRuleOut(known)]
  const isOneOfThem = first.some((check) => release.checks[check]!.id === step.id)
  return first.flatMap((check): Permit[] => {
    const question = release.checks[check]!
    if (isOneOfThem && !isDangerCheck(question)) return []
    const progress = progressOf(known, check)
    if (progress === 'open') return [{ verdict: 'after', check }]
    return progress === 'unsure' ? byUnsure(known, check) : []
  })
}
