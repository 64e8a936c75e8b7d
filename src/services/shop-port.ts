import type { Item, Requirement } from '../domain/parts/types.ts'
import type { Overlay } from '../ontology/overlay.ts'
import { narrowItems } from '../store/catalogue.ts'
import { type Database, isReady } from '../store/database.ts'
import { deleteOverlay, findOverlay, listOverlays, putOverlay } from '../store/overlays.ts'
import { callsPort } from './calls-port.ts'
import { verifyKey } from './keys.ts'
import { overlayHash } from './overlays.ts'

/** Most items that one match looks at; best first, so that what is cut off ranks behind. */
const MAX_CANDIDATES = 2000

/** Shops with their keys and catalogues over a database. */
export function shopPort(database: Database) {
  return {
    holderOf: (key: string) => verifyKey(database, key, Date.now()),
    candidates: (shop: string, requirement: Requirement): Promise<Item[]> =>
      narrowItems(database, shop, requirement, MAX_CANDIDATES),
    calls: callsPort(database),
    overlays: {
      put: async (shop: string, overlay: Overlay) => {
        const stored = { name: overlay.overlay, sha256: await overlayHash(overlay), updatedAt: Date.now() }
        await putOverlay(database, shop, { ...stored, body: JSON.stringify(overlay) })
        return stored
      },
      read: async (shop: string, name: string) => {
        const stored = await findOverlay(database, shop, name)
        return stored && (JSON.parse(stored.body) as Overlay)
      },
      list: (shop: string) => listOverlays(database, shop),
      remove: (shop: string, name: string) => deleteOverlay(database, shop, name),
    },
    isReady: () => isReady(database),
  }
}
