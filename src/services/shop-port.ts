import type { Item, Requirement } from '../domain/parts/types.ts'
import { narrowItems } from '../store/catalogue.ts'
import { type Database, isReady } from '../store/database.ts'
import { verifyKey } from './keys.ts'

/** Most items that one match looks at; best first, so that what is cut off ranks behind. */
const MAX_CANDIDATES = 2000

/** Shops with their keys and catalogues over a database. */
export function shopPort(database: Database) {
  return {
    holderOf: (key: string) => verifyKey(database, key, Date.now()),
    candidates: (shop: string, requirement: Requirement): Promise<Item[]> =>
      narrowItems(database, shop, requirement, MAX_CANDIDATES),
    isReady: () => isReady(database),
  }
}
