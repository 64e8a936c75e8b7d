import { DONT_KNOW } from '../findings/finding.ts'
import type { CompiledCheck } from './compiled.ts'
import { askedKey, dangersToRuleOut, type Gathered, isRuledOut } from './gathered.ts'

/** What a question can come upon that is a danger, and the result that says so; nothing where it asks for none. */
export function signOf({ model, results, dangers = {} }: CompiledCheck): { hazard: number; sign: string } | undefined {
  if (model.kind === 'danger') return { hazard: model.hazard, sign: model.sign }
  const sign = results.find((result) => dangers[result] !== undefined)
  return sign === undefined ? undefined : { hazard: dangers[sign]!, sign }
}

/** A circumstance by which the sign of a question is lifted; nothing where it tells of none that can be. */
export function liftOfSign({ instance }: Gathered, check: number): number | undefined {
  const { checks, contexts } = instance.release
  const { model, follows } = checks[check]!
  const sign = signOf(checks[check]!)?.sign
  const set = model.kind === 'applicability' ? model.sets.filter(({ result }) => result === sign) : []
  const told = [...set.map(({ context }) => context), ...(follows?.[sign ?? '']?.implies ?? [])]
  return told.find((context) => contexts[context]!.isLiftable)
}

/** How far a question that comes first has got: nobody put it, nobody knew, or it is answered, also by what else is known. */
export function progressOf(known: Gathered, check: number): 'open' | 'unsure' | 'answered' {
  const { model } = known.instance.release.checks[check]!
  const answers = [...(known.answers.get(askedKey(check, undefined)) ?? [])]
  const isKnown =
    answers.some((answer) => answer !== DONT_KNOW) ||
    (model.kind === 'applicability' && model.sets.every(({ context }) => isRuledOut(known, context)))
  if (isKnown) return 'answered'
  return answers.length === 0 ? 'open' : 'unsure'
}

/** Signs of danger that have not been made sure of: of every danger check, and of other questions that what stands calls for first. */
export function dangerQuestions(known: Gathered): number[] {
  const { dangerChecks } = known.index
  const { checks } = known.instance.release
  const calledFor = [...dangersToRuleOut(known)].filter((check) => signOf(checks[check]!) !== undefined)
  return [...new Set([...dangerChecks, ...calledFor])].filter((check) => progressOf(known, check) !== 'answered')
}
