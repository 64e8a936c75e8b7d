import type { Concept } from '../ontology/concepts.ts'
import { linkedIds } from '../ontology/links.ts'
import type { Release } from '../ontology/release.ts'
import type { Kind } from '../ontology/shape.ts'

export interface ConceptFilter {
  kind?: Kind
  family?: string
  q?: string
  after?: string
  limit: number
}
export interface ConceptSummary {
  id: string
  kind: Kind
  label: string
  family?: string
  status: string
  path: string
}
export interface ConceptPage {
  release: string
  total: number
  items: ConceptSummary[]
  next?: string
}

function summarise(release: Release, kind: Kind, concept: Concept): ConceptSummary {
  const family = 'family' in concept ? concept.family : undefined
  return {
    id: concept.id,
    kind,
    label: concept.label['en-US'],
    ...(family === undefined ? {} : { family }),
    status: concept.status,
    path: `/v1/ontology/${release.version}/concepts/${concept.id}`,
  }
}

/** Words a person would search by. */
function searchable(concept: Concept): string {
  const texts = [concept.label, concept.lay, concept.definition].flatMap((text) => Object.values(text ?? {}))
  return [concept.id, ...texts, ...concept.altLabels].join('\n').toLowerCase()
}

/** One page of concepts in the order of their ids; `next` is the id after which the next page begins. */
export function listConcepts(release: Release, filter: ConceptFilter): ConceptPage {
  const words = filter.q?.toLowerCase().split(/\s+/).filter(Boolean) ?? []
  const found = [...release.concepts.values()]
    .filter(({ kind }) => filter.kind === undefined || kind === filter.kind)
    .filter(({ concept }) => filter.family === undefined || ('family' in concept && concept.family === filter.family))
    .filter(({ concept }) => words.every((word) => searchable(concept).includes(word)))
    .sort((a, b) => (a.concept.id < b.concept.id ? -1 : 1))
  const rest = found.filter(({ concept }) => filter.after === undefined || concept.id > filter.after)
  const page = rest.slice(0, filter.limit)
  const last = page.at(-1)
  return {
    release: release.version,
    total: found.length,
    items: page.map(({ kind, concept }) => summarise(release, kind, concept)),
    ...(last !== undefined && rest.length > page.length ? { next: last.concept.id } : {}),
  }
}

/** One concept with its IRI and the ids it names; undefined when the release has no such id. */
export function readConcept(release: Release, id: string) {
  const found = release.concepts.get(id)
  if (!found) return undefined
  const { kind, concept } = found
  return {
    ...concept,
    kind,
    iri: release.manifest.iriBase + concept.id,
    release: release.version,
    links: linkedIds(concept),
  }
}
