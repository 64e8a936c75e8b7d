import { allConcepts } from '../concepts.ts'
import type { Rule } from './rule.ts'

/** An id is defined once. */
export const idsUnique: Rule = (ontology) => {
  const seen = new Set<string>()
  return allConcepts(ontology).flatMap(({ concept: { id } }) => {
    if (!seen.has(id)) {
      seen.add(id)
      return []
    }
    return [
      {
        rule: 'ids-unique',
        id,
        message: 'is defined more than once',
        remedy: 'Keep one definition, merge the rest into it',
      },
    ]
  })
}
