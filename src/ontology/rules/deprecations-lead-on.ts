import { allConcepts } from '../concepts.ts'
import type { Rule } from './rule.ts'

/** A deprecated concept says since when and why; its replacements exist and lead, without a circle, to live ones. */
export const deprecationsLeadOn: Rule = (ontology) => {
  const byId = new Map(allConcepts(ontology).map(({ concept }) => [concept.id, concept]))
  const rule = 'deprecations-lead-on'
  const ends = (id: string, seen: readonly string[]): string | undefined => {
    if (seen.includes(id)) return `is replaced in a circle: ${[...seen, id].join(' -> ')}`
    const concept = byId.get(id)
    if (!concept) return `is replaced by ${id}, which does not exist`
    const next = concept.deprecated?.replacedBy ?? []
    if (concept.status !== 'deprecated') return undefined
    if (next.length === 0 && seen.length > 0) return `is replaced by ${id}, which is deprecated without a successor`
    return next.map((target) => ends(target, [...seen, id])).find((fault) => fault !== undefined)
  }
  return [...byId.values()].flatMap(({ id, status, deprecated }) => {
    if ((status === 'deprecated') !== (deprecated !== undefined))
      return [{ rule, id, message: 'has status and deprecation record at odds', remedy: 'Give both or neither' }]
    const fault = deprecated && ends(id, [])
    return fault === undefined ? [] : [{ rule, id, message: fault, remedy: 'Name live concepts in replacedBy' }]
  })
}
