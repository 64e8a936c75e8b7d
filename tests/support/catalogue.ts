import type { Item } from '../../src/domain/parts/types.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { contentHash } from '../../src/services/catalogue/content-hash.ts'
import type { Finding } from '../../src/services/catalogue/finding.ts'
import { type PartOptions, PartReader } from '../../src/services/catalogue/read-part.ts'
import type { Format } from '../../src/services/catalogue/records.ts'
import type { CatalogueItem, HashedItem } from '../../src/store/catalogue/rows.ts'

export const BATTERY = 'part-class/vrla-battery-12v'

export const withHash = (items: readonly Item[]): HashedItem[] =>
  items.map((item) => ({ ...item, contentHash: contentHash(item) }))

/** Bytes in pieces of a size that cuts records, quotes and letters in two. */
export async function* inPieces(text: string | Uint8Array, size = 7): AsyncGenerator<Uint8Array> {
  const bytes = typeof text === 'string' ? new TextEncoder().encode(text) : text
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size)
}

/** What a file holds, as an import reads it. */
export async function readFile(
  text: string | Uint8Array,
  options: PartOptions = {},
  format: Format = 'csv',
  size?: number,
) {
  const reader = new PartReader(currentRelease(), options)
  const items: CatalogueItem[] = []
  for await (const batch of reader.batches(inPieces(text, size), format))
    for (const staged of batch)
      if ('item' in staged) {
        const { contentHash: _, ...item } = staged.item
        items.push(item)
      }
  const { received, findings, totals, refused } = reader.report()
  return { items, findings, rows: received, totals, refused }
}

export const codesOf = (findings: readonly Finding[]) => findings.map(({ column, code }) => `${column} ${code}`)
