import type { Check, Condition, Ontology } from '../shape.ts'
import type { Rule } from './rule.ts'

/** Circumstances that are a danger by themselves. */
function dangersIn({ check, hazard }: Ontology): Set<string> {
  const signed = new Set(check.flatMap(({ model }) => (model.kind === 'danger' ? [model.hazard] : [])))
  return new Set(hazard.flatMap(({ id, stopIf }) => (signed.has(id) ? stopIf : [])))
}

type Result = Check['results'][number]

/** Why a result of a check must not clear a condition. */
function unsound(check: Check, { danger }: Result, condition: Condition, dangers: ReadonlySet<string>): string[] {
  const { about } = check
  const isAbout = about === undefined || about.includes(condition.id) || about.includes(`family/${condition.family}`)
  const isDanger = condition.severity === 'life-safety' || condition.implies?.some((context) => dangers.has(context))
  return [
    ...(isDanger ? ['which threatens life'] : []),
    ...(danger !== undefined || check.model.kind === 'danger' ? ['although it asks for a danger'] : []),
    ...(isAbout ? [] : ['which its check is not about']),
    ...(condition.scope === 'device' && check.scope !== 'device' ? ['of a device without asking for one'] : []),
  ]
}

/** An answer clears only what its question is about, where that stands, and never a threat to life. */
export const clearsAreSound: Rule = (ontology) => {
  const byId = new Map(ontology.condition.map((one) => [one.id, one]))
  const dangers = dangersIn(ontology)
  return ontology.check.flatMap((check) =>
    check.results.flatMap((result) =>
      (result.clears ?? []).flatMap((id) => {
        const condition = byId.get(id)
        const faults = condition === undefined ? [] : unsound(check, result, condition, dangers)
        return faults.map((why) => ({
          rule: 'clears-are-sound',
          id: check.id,
          message: `result ${result.id} clears ${id}, ${why}`,
          remedy: 'Take it out of clears, or make the question one about it',
        }))
      }),
    ),
  )
}
