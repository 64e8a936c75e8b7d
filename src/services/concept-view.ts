import { codesOf } from '../ontology/crosswalk.ts'
import type { LanguagePack } from '../ontology/language.ts'
import { linkedIds } from '../ontology/links.ts'
import type { Release } from '../ontology/release.ts'
import { isServable } from '../ontology/safety-text.ts'
import type { Check, Text } from '../ontology/shape.ts'
import { conceptPath } from './concepts.ts'
import { type History, historyOf } from './history.ts'
import type { ReleaseShelf } from './release-shelf.ts'

const namedBy = new WeakMap<Release, Map<string, string[]>>()

/** Ids of the concepts that name each concept. */
function incoming(release: Release): Map<string, string[]> {
  const known = namedBy.get(release)
  if (known) return known
  const made = new Map<string, string[]>()
  for (const { concept } of release.concepts.values())
    for (const target of linkedIds(concept)) made.set(target, [...(made.get(target) ?? []), concept.id])
  namedBy.set(release, made)
  return made
}

type Texts = Record<string, string>

/** A text with the words of the other languages beside the English ones. */
function inAll(text: Text, packs: readonly LanguagePack[], wordOf: (pack: LanguagePack) => string | undefined): Texts {
  const words = packs.flatMap((pack) => {
    const word = wordOf(pack)
    return word === undefined ? [] : [[pack.language, word] as const]
  })
  const english = Object.entries(text).filter((entry): entry is [string, string] => entry[1] !== undefined)
  return Object.fromEntries([...english, ...words])
}

/** Names, and for a check its question and results, in every language of the release. */
function translated(concept: { id: string; label: Text; lay?: Text | undefined }, packs: readonly LanguagePack[]) {
  const { id, label, lay } = concept
  const fit = packs.filter((pack) => isServable(pack, concept))
  const naming = id.startsWith('hazard/') ? fit : packs
  const texts = {
    label: inAll(label, naming, (pack) => pack.texts[id]?.label),
    ...(lay && { lay: inAll(lay, naming, (pack) => pack.texts[id]?.lay) }),
  }
  if (!id.startsWith('check/')) return texts
  const { ask, results } = concept as unknown as Check
  return {
    ...texts,
    ask: inAll(ask, fit, (pack) => pack.texts[id]?.ask),
    results: results.map((result) => ({
      ...result,
      label: inAll(result.label, fit, (pack) => pack.texts[id]?.results?.[result.id]),
    })),
  }
}

/** One concept whole: its facts, texts in every language, codes, links both ways and history; undefined when it is not there. */
export async function viewConcept(shelf: ReleaseShelf, release: Release, id: string) {
  const found = release.concepts.get(id)
  if (!found) return undefined
  const { kind, concept } = found
  const packs = await shelf.packs(release)
  const history: History[] = await historyOf(shelf, release, id)
  return {
    ...concept,
    ...translated(concept, packs),
    kind,
    iri: release.manifest.iriBase + id,
    release: release.version,
    path: conceptPath(release.version, id),
    translations: packs.map(({ language, review }) => ({ language, review })),
    codes: codesOf(release.ontology.crosswalks, id),
    links: linkedIds(concept),
    linkedFrom: incoming(release).get(id) ?? [],
    history,
  }
}
export type ConceptView = NonNullable<Awaited<ReturnType<typeof viewConcept>>>
