import type { Release } from '../../ontology/release.ts'
import { findItem, putItems, type StoredItem } from '../../store/catalogue/items.ts'
import type { CatalogueItem } from '../../store/catalogue/rows.ts'
import type { Database } from '../../store/database.ts'
import { contentHash } from './content-hash.ts'
import type { Finding } from './finding.ts'
import { readItem } from './read-item.ts'
import { objectCells } from './records.ts'

/** Puts one item as an import would read it; its errors, and then nothing is written. */
export async function putOneItem(
  database: Database,
  release: Release,
  shop: string,
  fields: object,
  now: number,
): Promise<{ stored: StoredItem; warnings: Finding[] } | { errors: Finding[] }> {
  const cells = objectCells(fields, 0, 0)
  const item: CatalogueItem = readItem(release, cells, {})
  const errors = cells.findings.filter(({ severity }) => severity === 'error')
  if (errors.length > 0) return { errors }
  const hash = contentHash(item)
  const before = await findItem(database, shop, item.sku)
  if (before?.contentHash !== hash || before.isRetired)
    await putItems(database, shop, [{ ...item, contentHash: hash }], now)
  return { stored: (await findItem(database, shop, item.sku))!, warnings: cells.findings }
}
