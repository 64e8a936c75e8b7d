import { linkOf } from '../numbers.ts'
import type { Rule } from './rule.ts'

/** The contexts that the results of one check can establish have shares that sum to at most one. */
export const sharesFit: Rule = (ontology) =>
  ontology.check.flatMap(({ id, model }) => {
    if (model.kind !== 'applicability') return []
    const contexts = new Set(model.sets.map((set) => set.context))
    const sum = ontology.context
      .filter((context) => contexts.has(context.id))
      .reduce((total, { share }) => total + (linkOf(ontology.levels, share) ?? 0), 0)
    if (sum <= 1 + 1e-9) return []
    const remedy = `Lower the shares of ${[...contexts].join(', ')} to at most 1 in all`
    return [{ rule: 'shares-fit', id, message: `sets contexts whose shares sum to ${sum.toFixed(3)}`, remedy }]
  })
