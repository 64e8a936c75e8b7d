import type { Advice } from '../domain/advice/advise.ts'
import { askedKey, isRuledOut } from '../domain/advice/gathered.ts'
import type { Limits } from '../domain/findings/finding.ts'
import type { PrologueStep } from '../ontology/shape.ts'
import type { Wording } from './texts.ts'

/** Whether a check has nothing left to ask: it was put, or what it finds out is known from elsewhere. */
function isSettled(check: string, { known }: Advice): boolean {
  const { index, asked, contexts, instance } = known
  const position = index.check.get(check)!
  const { model } = instance.release.checks[position]!
  if (model.kind === 'reveals') return known.isScreenComplete
  const isKnown = (context: number) => contexts.has(context) || isRuledOut(known, context)
  if (model.kind === 'applicability' && model.sets.some((set) => isKnown(set.context))) return true
  return asked.has(askedKey(position, undefined))
}

/** Whether what a step settles is known; undefined where only the person on the phone can tell. */
function isDone({ checks, asksDangers, limit }: PrologueStep, advice: Advice, limits: Limits): boolean | undefined {
  if (limit === 'ownerVerified') return limits.isOwnerVerified === true
  if (asksDangers) return advice.dangerQuestions.length === 0
  if (checks.length === 0) return undefined
  return checks.every((check) => isSettled(check, advice))
}

/** What is settled before any probability, in order, each step with when it may be skipped. */
export function wordPrologue(advice: Advice, wording: Wording, limits: Limits) {
  return wording.release.ontology.prologue.map((step) => {
    const done = isDone(step, advice, limits)
    return {
      step: step.id,
      say: wording.say(step.say),
      checks: step.checks,
      state: done === undefined ? ('say' as const) : done ? ('done' as const) : ('open' as const),
      skipWhen: wording.say(step.skipWhen),
    }
  })
}
