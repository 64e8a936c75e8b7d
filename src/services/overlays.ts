import { compileOntology } from '../ontology/compile.ts'
import { type Overlay, type OverlayFault, overlayFaults, withOverlay } from '../ontology/overlay.ts'
import { type Release, releaseFrom } from '../ontology/release.ts'
import { sha256Hex } from './sha256.ts'

/** SHA-256 of an overlay as it was understood, so that an answer can name exactly what it rests on. */
export const overlayHash = (overlay: Overlay) => sha256Hex(JSON.stringify(overlay))

/** Checked overlays are kept, newest last, so that a call that sends the same one again does not pay again. */
const MOST_KEPT = 16
const kept = new WeakMap<Release, Map<string, Release>>()

function remember(base: Release, hash: string, release: Release): void {
  const known = kept.get(base) ?? new Map<string, Release>()
  known.delete(hash)
  known.set(hash, release)
  const oldest = known.keys().next().value
  if (known.size > MOST_KEPT && oldest !== undefined) known.delete(oldest)
  kept.set(base, known)
}

/** The release with an overlay in it, or every rule that the overlay breaks. */
export async function layOver(
  base: Release,
  overlay: Overlay,
): Promise<{ release: Release } | { faults: OverlayFault[] }> {
  const hash = await overlayHash(overlay)
  const known = kept.get(base)?.get(hash)
  if (known) return { release: known }
  const faults = overlayFaults(base.ontology, overlay)
  if (faults.length > 0) return { faults }
  const merged = withOverlay(base.ontology, overlay)
  const named = `${overlay.overlay}@${overlay.version} sha256:${hash}`
  const release = releaseFrom(base.manifest, compileOntology(merged, base.version), () => merged, [named])
  remember(base, hash, release)
  return { release }
}
