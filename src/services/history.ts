import { type ChangeClass, type ConceptChange, diffOntologies } from '../ontology/diff.ts'
import type { Release } from '../ontology/release.ts'
import { compareVersions } from '../ontology/version-guard.ts'
import type { ReleaseShelf } from './release-shelf.ts'

/** What an edition did to a concept. */
export interface History {
  release: string
  change: ConceptChange['change']
  class: ChangeClass
}

const kept = new WeakMap<Release, Map<string, ConceptChange[]>>()

/** Changes of the concepts from one release to a later one; computed once. */
export function changesBetween(before: Release, after: Release): ConceptChange[] {
  const known = kept.get(after) ?? new Map<string, ConceptChange[]>()
  kept.set(after, known)
  const changes = known.get(before.version) ?? diffOntologies(before.ontology, after.ontology)
  known.set(before.version, changes)
  return changes
}

/** Editions up to this one that touched a concept, oldest first, from the changes that each edition published. */
export async function historyOf(shelf: ReleaseShelf, release: Release, id: string): Promise<History[]> {
  const names = shelf.names().filter((name) => compareVersions(name, release.version) <= 0)
  const published = await Promise.all(names.map((name) => shelf.changes(name)))
  const history = published.flatMap((changes, index): History[] => {
    const own = changes.find((change) => change.id === id)
    return own ? [{ release: names[index]!, change: own.change, class: own.class }] : []
  })
  const isThereFromTheStart = history[0]?.change !== 'added'
  return isThereFromTheStart ? [{ release: names[0]!, change: 'added', class: 'compatible' }, ...history] : history
}
