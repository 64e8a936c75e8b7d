import type { Item, Requirement } from '../domain/parts/types.ts'
import type { Overlay } from '../ontology/overlay.ts'
import type { Profile } from '../ontology/profile.ts'
import { narrowItems } from '../store/catalogue/narrow.ts'
import type { Database } from '../store/database.ts'
import { readinessOf } from '../store/readiness.ts'
import { callsPort } from './calls-port.ts'
import { cataloguePort } from './catalogue-port.ts'
import { profileHash } from './display-profiles.ts'
import { documentsPort } from './documents-port.ts'
import { keysPort } from './keys-port.ts'
import { learningPort } from './learning-port.ts'
import { overlayHash } from './overlays.ts'

/** Most items that one match looks at; best first, so that what is cut off ranks behind. */
const MAX_CANDIDATES = 200

/** Shops with their keys and catalogues over a database. */
export function shopPort(database: Database) {
  const keys = keysPort(database)
  return {
    holderOf: keys.holderOf,
    keys,
    /** Day of a sale that is asked about now. */
    today: (): string => new Date().toISOString().slice(0, 10),
    candidates: (shop: string, requirement: Requirement): Promise<Item[]> =>
      narrowItems(database, shop, requirement, MAX_CANDIDATES),
    calls: callsPort(database),
    catalogue: cataloguePort(database),
    overlays: documentsPort<Overlay>(database, 'overlays', overlayHash),
    profiles: documentsPort<Profile>(database, 'profiles', profileHash),
    learning: learningPort(database),
    readiness: readinessOf(database),
  }
}
