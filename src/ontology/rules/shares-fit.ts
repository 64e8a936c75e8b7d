import { linkOf } from '../numbers.ts'
import type { Context, Ontology } from '../shape.ts'
import type { Fault, Rule } from './rule.ts'

/** Rounding of shares that are written with a few digits. */
const ROUNDING = 1e-9

function sharesOf({ levels }: Ontology, contexts: readonly Context[]): number {
  return contexts.reduce((total, { share }) => total + (linkOf(levels, share) ?? 0), 0)
}

const tooMuch = (id: string, what: string, contexts: readonly Context[], sum: number): Fault[] =>
  sum <= 1 + ROUNDING
    ? []
    : [
        {
          rule: 'shares-fit',
          id,
          message: `${what} whose shares sum to ${sum.toFixed(3)}`,
          remedy: `Lower the shares of ${contexts.map((one) => one.id).join(', ')} to at most 1 in all`,
        },
      ]

/** The contexts that the results of one check can establish, and those of one dimension, have shares that sum to at most one. */
export const sharesFit: Rule = (ontology) => {
  const ofChecks = ontology.check.flatMap(({ id, model }) => {
    if (model.kind !== 'applicability') return []
    const set = new Set(model.sets.map(({ context }) => context))
    const contexts = ontology.context.filter((context) => set.has(context.id))
    return tooMuch(id, 'sets contexts', contexts, sharesOf(ontology, contexts))
  })
  const dimensions = Map.groupBy(
    ontology.context.filter(({ dimension }) => dimension !== undefined),
    ({ dimension }) => dimension!,
  )
  const ofDimensions = [...dimensions].flatMap(([dimension, contexts]) =>
    tooMuch(contexts.at(-1)!.id, `belongs to dimension ${dimension}`, contexts, sharesOf(ontology, contexts)),
  )
  return [...ofChecks, ...ofDimensions]
}
