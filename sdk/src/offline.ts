import { createApp } from '../../src/app.ts'
import { MANIFEST_JSON, ONTOLOGY_JSON } from '../../src/ontology/generated/current-release.ts'
import { TroubleAtlas } from './client.ts'

/** Version and content of the ontology that is bundled. */
export const BUNDLED = JSON.parse(MANIFEST_JSON) as {
  release: string
  licence: string
  iriBase: string
  sha256: string
}

/**
 * The service itself, without a network: a function with the shape of fetch over the bundled release. What needs a key, a
 * database or another release answers as a service without them does.
 */
export function offlineFetch(): typeof fetch {
  const app = createApp({ openApiDocument: async () => '{}', releaseFile: async () => undefined })
  return async (input, init) => app.fetch(new Request(input, init))
}

/** A client that needs no service: the same operations over the same cores, and the same answers. */
export function offlineAtlas(): TroubleAtlas {
  return new TroubleAtlas({ baseUrl: 'http://offline.invalid', fetch: offlineFetch(), retries: 0 })
}

/** The published file, as its bytes are hashed. */
function published(): string {
  const { release, licence, iriBase } = BUNDLED
  return `${JSON.stringify({ release, licence, iriBase, ...JSON.parse(ONTOLOGY_JSON) }, null, 2)}\n`
}

/**
 * Whether the bundled ontology has the hash that its manifest states.
 * @throws Error when it was changed
 */
export async function verifyBundled(): Promise<void> {
  const bytes = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(published()))
  const found = [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, '0')).join('')
  if (found !== BUNDLED.sha256) throw new Error(`the bundled ontology has SHA-256 ${found}, not ${BUNDLED.sha256}`)
}
