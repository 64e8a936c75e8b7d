import type { Release } from '../ontology/release.ts'

/** Version of the computing cores; changes whenever the same input can give another answer. */
export const ENGINE_VERSION = '0.7.0'

export interface Basis {
  release: string
  sha256: string
  engine: string
  rates: { id: string; sha256: string; asOf: string }
  overlays: string[]
  profiles: string[]
}

/** What an answer rests on: a release with its published rates or a set of learned ones, and what an overlay added to it. */
export function basisOf(release: Release, rates?: Basis['rates']): Basis {
  const { sha256 } = release.manifest
  return {
    release: release.version,
    sha256,
    engine: ENGINE_VERSION,
    rates: rates ?? { id: 'published', sha256, asOf: release.version },
    overlays: [...release.overlays],
    profiles: [],
  }
}
