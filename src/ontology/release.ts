import type { CompiledRelease } from '../domain/advice/compiled.ts'
import { allConcepts, type Concept } from './concepts.ts'
import { COMPILED_JSON, MANIFEST_JSON, ONTOLOGY_JSON, RELEASES_JSON } from './generated/current-release.ts'
import type { LanguagePack } from './language.ts'
import { inTodaysShape } from './older-editions.ts'
import type { Kind, Ontology } from './shape.ts'

export interface ManifestFile {
  name: string
  mediaType: string
  bytes: number
  sha256: string
}
export interface Manifest {
  release: string
  licence: string
  iriBase: string
  counts: Record<string, number>
  /** Languages beside English; absent before 0.2.0. */
  languages?: { language: string; name: string; review: LanguagePack['review'] }[]
  files: ManifestFile[]
  /** SHA-256 of ontology.json: what an answer names as the content it rests on. */
  sha256: string
}
export interface ReleaseEntry {
  release: string
  sha256: string
  releasedOn: string
}
export interface Release {
  version: string
  manifest: Manifest
  compiled: CompiledRelease
  /** Names, versions and hashes of what was added to the published release. */
  overlays: readonly string[]
  /** Everything in it, texts included. */
  readonly ontology: Ontology
  readonly concepts: ReadonlyMap<string, { kind: Kind; concept: Concept }>
}

/** A value computed on first use and kept. */
function lazily<T>(make: () => T): () => T {
  let made: { value: T } | undefined
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

/** A release from its published parts; the ontology is parsed when a text or a rule first needs it. */
export function releaseFrom(
  manifest: Manifest,
  compiled: CompiledRelease,
  readOntology: () => Partial<Ontology>,
  overlays: readonly string[] = [],
): Release {
  const ontology = lazily(() => inTodaysShape(readOntology()))
  const concepts = lazily(() => new Map(allConcepts(ontology()).map((entry) => [entry.concept.id, entry] as const)))
  return {
    version: manifest.release,
    manifest,
    compiled,
    overlays,
    get ontology() {
      return ontology()
    },
    get concepts() {
      return concepts()
    },
  }
}

/** The release that this build answers from; parsed on first use, so that start-up stays cheap. */
export const currentRelease: () => Release = lazily(() =>
  releaseFrom(
    JSON.parse(MANIFEST_JSON) as Manifest,
    JSON.parse(COMPILED_JSON) as CompiledRelease,
    () => JSON.parse(ONTOLOGY_JSON) as Ontology,
  ),
)

/** Every published release, oldest first. */
export const publishedReleases: () => ReleaseEntry[] = lazily(() => JSON.parse(RELEASES_JSON) as ReleaseEntry[])
