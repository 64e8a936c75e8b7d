import { allConcepts } from '../concepts.ts'
import { linkedIds } from '../links.ts'
import type { Rule } from './rule.ts'

/** Every id that a concept names must exist. */
export const referencesResolve: Rule = (ontology) => {
  const known = new Set(allConcepts(ontology).map(({ concept }) => concept.id))
  const { protection, silence } = ontology
  const owners = [
    ...allConcepts(ontology).map(({ concept }) => concept),
    ...ontology.gates,
    ...ontology.prologue,
    ...(protection ? [{ id: 'protection', ...protection }] : []),
    ...(silence ? [{ id: 'silence', ...silence }] : []),
  ]
  return owners.flatMap((owner) =>
    linkedIds(owner)
      .filter((id) => !known.has(id))
      .map((id) => ({
        rule: 'references-resolve',
        id: owner.id,
        message: `names ${id}, which does not exist`,
        remedy: `Define ${id} or correct its spelling`,
      })),
  )
}
