import type { Release } from '../ontology/release.ts'
import type { Database } from '../store/database.ts'
import type { Finding } from './catalogue/finding.ts'
import {
  commitImport,
  dropImport,
  type ImportOptions,
  isRefused,
  type Outcome,
  openImport,
  putPart,
  type Refusal,
  reportImport,
} from './catalogue/imports.ts'
import type { Format } from './catalogue/records.ts'

export interface ImportReport {
  rows: number
  /** Rows inserted or changed; rows whose content was already there are not counted. */
  changed: number
  leftOut: number
  faults: (Finding & { part: number })[]
  isApplied: boolean
  outcome?: Outcome
  refusal?: Refusal
}

async function* once(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  const piece = 64 * 1024
  for (let at = 0; at < bytes.length; at += piece) yield bytes.subarray(at, at + piece)
}

/** Imports one file for a shop in one step: opened, read, swapped in. With an error nothing is written unless the mode is `partial`. */
export async function importFile(
  database: Database,
  release: Release,
  shop: string,
  body: { bytes: AsyncIterable<Uint8Array>; format: Format },
  options: ImportOptions,
): Promise<ImportReport> {
  const id = crypto.randomUUID()
  const opened = await openImport(database, shop, options, { id, now: Date.now() })
  if (isRefused(opened)) return { rows: 0, changed: 0, leftOut: 0, faults: [], isApplied: false, refusal: opened }
  const target = { importId: id, part: 1, uploadId: crypto.randomUUID() }
  const part = await putPart(database, release, shop, target, body, Date.now)
  const ended = await commitImport(database, shop, id, { now: Date.now() })
  const faults = (await reportImport(database, shop, id))?.findings ?? []
  const rows = isRefused(part) ? 0 : part.received
  if (isRefused(ended)) {
    await dropImport(database, shop, id)
    return { rows, changed: 0, leftOut: rows, faults, isApplied: false, refusal: ended }
  }
  const { outcome, refused, status } = ended
  const changed = status === 'committed' ? (outcome?.inserted ?? 0) + (outcome?.updated ?? 0) : 0
  return { rows, changed, leftOut: refused, faults, isApplied: status === 'committed', ...(outcome && { outcome }) }
}

/** Imports a catalogue given as CSV text. */
export function importCatalogue(
  database: Database,
  release: Release,
  shop: string,
  text: string,
  isPartial: boolean,
): Promise<ImportReport> {
  const body = { bytes: once(new TextEncoder().encode(text)), format: 'csv' as const }
  return importFile(database, release, shop, body, { mode: isPartial ? 'partial' : 'atomic' })
}
