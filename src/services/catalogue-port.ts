import type { Release } from '../ontology/release.ts'
import { deleteItem, findItem, type ItemFilter, listItems } from '../store/catalogue/items.ts'
import type { Database } from '../store/database.ts'
import { type ExportFormat, exportCatalogue } from './catalogue/export.ts'
import {
  commitImport,
  describeImport,
  dropImport,
  type ImportOptions,
  openImport,
  type PartBody,
  putPart,
  reportImport,
} from './catalogue/imports.ts'
import { putOneItem } from './catalogue/one-item.ts'
import { type SearchFilter, searchCatalogue } from './catalogue/search.ts'
import type { Claim } from './idempotency.ts'

/** A shop's catalogue over a database: imports, items, export and search. */
export function cataloguePort(database: Database) {
  return {
    openImport: (shop: string, options: ImportOptions, claim?: Claim) =>
      openImport(database, shop, options, { id: crypto.randomUUID(), now: Date.now(), claim }),
    putPart: (release: Release, shop: string, target: { importId: string; part: number }, body: PartBody) =>
      putPart(database, release, shop, { ...target, uploadId: crypto.randomUUID() }, body, Date.now),
    commitImport: (shop: string, id: string, parts?: number) =>
      commitImport(database, shop, id, { now: Date.now(), parts }),
    describeImport: (shop: string, id: string) => describeImport(database, shop, id),
    reportImport: (shop: string, id: string) => reportImport(database, shop, id),
    dropImport: (shop: string, id: string) => dropImport(database, shop, id),
    items: {
      read: (shop: string, sku: string) => findItem(database, shop, sku),
      list: (shop: string, filter: ItemFilter, after: string, limit: number) =>
        listItems(database, shop, filter, after, limit),
      put: (release: Release, shop: string, fields: object) => putOneItem(database, release, shop, fields, Date.now()),
      remove: (shop: string, sku: string) => deleteItem(database, shop, sku),
    },
    export: (release: Release, shop: string, format: ExportFormat, filter: ItemFilter) =>
      exportCatalogue(database, release, shop, format, filter),
    search: (shop: string, text: string, filter: SearchFilter, limit: number) =>
      searchCatalogue(database, shop, text, filter, limit),
  }
}
export type CataloguePort = ReturnType<typeof cataloguePort>
