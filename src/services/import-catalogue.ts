import type { Item } from '../domain/parts/types.ts'
import type { Release } from '../ontology/release.ts'
import { type HashedItem, upsertItems } from '../store/catalogue.ts'
import type { Database } from '../store/database.ts'
import { type RowFault, readCatalogueFile } from './catalogue-file.ts'

export interface ImportReport {
  rows: number
  /** Rows inserted or changed; rows whose content was already there are not counted. */
  changed: number
  leftOut: number
  faults: RowFault[]
  isApplied: boolean
}

async function hashed(item: Item): Promise<HashedItem> {
  const { attributes, ...rest } = item
  const sorted = Object.entries(attributes).sort(([a], [b]) => (a < b ? -1 : 1))
  const bytes = new TextEncoder().encode(JSON.stringify([Object.entries(rest).sort(), sorted]))
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))
  return { ...item, contentHash: btoa(String.fromCharCode(...digest)) }
}

/** Imports a catalogue file for a shop in one write. With a faulty row nothing is written unless `isPartial` asks for the rest. */
export async function importCatalogue(
  database: Database,
  release: Release,
  shopId: string,
  text: string,
  isPartial: boolean,
): Promise<ImportReport> {
  const { items, faults, rows } = readCatalogueFile(release, text)
  const isApplied = faults.length === 0 || (isPartial && items.length > 0)
  const changed = isApplied ? await upsertItems(database, shopId, await Promise.all(items.map(hashed))) : 0
  return { rows, changed, leftOut: rows - (isApplied ? items.length : 0), faults, isApplied }
}
