import { allConcepts } from '../concepts.ts'
import type { Rule } from './rule.ts'

function based(record: unknown): { basis: string; source?: string }[] {
  if (typeof record !== 'object' || record === null) return []
  const own =
    'basis' in record && typeof record.basis === 'string' ? [record as { basis: string; source?: string }] : []
  return [...own, ...Object.values(record).flatMap(based)]
}

/** A source that a number names is in the bibliography; a published or derived number names one. */
export const sourcesKnown: Rule = (ontology) => {
  const known = new Set(ontology.sources.map((source) => source.id))
  return allConcepts(ontology).flatMap(({ concept }) =>
    based(concept).flatMap(({ basis, source }) => {
      const fault = (message: string, remedy: string) => [{ rule: 'sources-known', id: concept.id, message, remedy }]
      if (source !== undefined && !known.has(source))
        return fault(`names the source ${source}`, `Add ${source} to bibliography.json`)
      if (source === undefined && basis !== 'judgement' && basis !== 'practice')
        return fault(`has a ${basis} number without source`, 'Name the source or call it judgement')
      return []
    }),
  )
}
