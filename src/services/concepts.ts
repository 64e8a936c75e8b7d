import type { Concept } from '../ontology/concepts.ts'
import type { Release } from '../ontology/release.ts'
import type { Kind } from '../ontology/shape.ts'
import type { ReleaseShelf } from './release-shelf.ts'
import { type FoundIn, searchConcepts } from './search.ts'
import type { Wording } from './texts.ts'

export interface ConceptFilter {
  kind?: Kind
  family?: string
  nature?: string
  status?: string
  q?: string
  /** Only these ids, such as those that changed since an edition. */
  among?: ReadonlySet<string>
  offset: number
  limit: number
}
interface ConceptSummary {
  id: string
  kind: Kind
  label: string
  lay?: string
  family?: string
  nature?: string
  status: string
  path: string
  foundIn?: FoundIn
  caseExact?: boolean
}

export const conceptPath = (release: string, id: string) => `/v1/ontology/${release}/concepts/${id}`

function summarise(wording: Wording, id: string): ConceptSummary {
  const { kind, concept } = wording.release.concepts.get(id)!
  const lay = wording.served.pack?.texts[id]?.lay ?? (concept.lay && wording.say(concept.lay))
  return {
    id,
    kind,
    label: wording.label(id),
    ...(lay === undefined ? {} : { lay }),
    ...('family' in concept && concept.family !== undefined ? { family: concept.family } : {}),
    ...('nature' in concept ? { nature: concept.nature } : {}),
    status: concept.status,
    path: conceptPath(wording.release.version, id),
  }
}

const has = (concept: Concept, field: string, wanted: string | undefined) =>
  wanted === undefined || (concept as unknown as Record<string, unknown>)[field] === wanted

/** One page of concepts: by relevance to words where there are any, else in the order of ids. */
export async function listConcepts(shelf: ReleaseShelf, wording: Wording, filter: ConceptFilter) {
  const { release } = wording
  const hits =
    filter.q === undefined
      ? [...release.concepts.keys()].sort().map((id) => ({ id }))
      : searchConcepts(release, await shelf.packs(release), filter.q)
  const found = hits.filter(({ id }) => {
    const { kind, concept } = release.concepts.get(id)!
    return (
      (filter.kind === undefined || kind === filter.kind) &&
      has(concept, 'family', filter.family) &&
      has(concept, 'nature', filter.nature) &&
      has(concept, 'status', filter.status) &&
      (filter.among === undefined || filter.among.has(id))
    )
  })
  const end = filter.offset + filter.limit
  return {
    release: release.version,
    ...wording.stated(),
    total: found.length,
    items: found.slice(filter.offset, end).map((hit) => ({ ...summarise(wording, hit.id), ...hit })),
    ...(end < found.length ? { nextOffset: end } : {}),
  }
}

/** The release that last held an id, newest first; undefined for one that was never released. */
export async function lastReleaseWith(shelf: ReleaseShelf, id: string): Promise<Release | undefined> {
  for (const name of shelf.names().reverse()) {
    const release = await shelf.named(name)
    if (release?.concepts.has(id)) return release
  }
  return undefined
}
