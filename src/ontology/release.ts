import type { CompiledRelease } from '../domain/advice/compiled.ts'
import type { Concept } from './concepts.ts'
import { COMPILED_JSON, CONCEPTS_JSON, MANIFEST_JSON, RELEASES_JSON } from './generated/current-release.ts'
import { KINDS, type Kind } from './shape.ts'

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
  counts: Record<Kind, number>
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
  concepts: ReadonlyMap<string, { kind: Kind; concept: Concept }>
}

/** A value computed on first use and kept. */
function lazily<T>(make: () => T): () => T {
  let made: { value: T } | undefined
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

/** The release that this build answers from; parsed on first use, so that start-up stays cheap. */
export const currentRelease: () => Release = lazily(() => {
  const manifest = JSON.parse(MANIFEST_JSON) as Manifest
  const byKind = JSON.parse(CONCEPTS_JSON) as Record<Kind, Concept[]>
  const entries = KINDS.flatMap((kind) =>
    (byKind[kind] ?? []).map((concept) => [concept.id, { kind, concept }] as const),
  )
  return {
    version: manifest.release,
    manifest,
    compiled: JSON.parse(COMPILED_JSON) as CompiledRelease,
    concepts: new Map(entries),
  }
})

/** Every published release, oldest first. */
export const publishedReleases: () => ReleaseEntry[] = lazily(() => JSON.parse(RELEASES_JSON) as ReleaseEntry[])
