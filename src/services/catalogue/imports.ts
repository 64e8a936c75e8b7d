import type { Release } from '../../ontology/release.ts'
import {
  abortImport,
  beginUpload,
  discardUpload,
  findImport,
  finishUpload,
  importOfRef,
  importRef,
  listParts,
  openStatement,
  type StoredImport,
  stageRows,
  sweepImports,
} from '../../store/catalogue/imports.ts'
import {
  dropStrayRows,
  findDuplicates,
  noteDuplicates,
  noteOutcome,
  previewSwap,
  type SwapCounts,
  swapIn,
} from '../../store/catalogue/swap.ts'
import { type Database, write } from '../../store/database.ts'
import { type Claim, isConstraint, once } from '../idempotency.ts'
import { type Finding, MOST_FINDINGS } from './finding.ts'
import { type PartOptions, PartReader, type PartReport } from './read-part.ts'
import type { Format } from './records.ts'

/** check: report only. partial: what is good is taken. atomic: one error and nothing is. */
export type ImportMode = 'check' | 'partial' | 'atomic'
export interface ImportOptions extends PartOptions {
  mode: ImportMode
  /** Retires what the import does not name, if that is at most this fraction of what is there. */
  maxRetiredFraction?: number | undefined
}
/** Why a step of an import was not done. */
export type Refusal =
  | { why: 'absent' | 'not-open' | 'too-many-open' }
  | { why: 'parts-missing'; missing: number[] }
  | { why: 'has-errors'; errors: number }
  | { why: 'retires-too-much'; retired: number; active: number }
export interface Outcome extends SwapCounts {
  duplicates: number
}
export interface ImportState {
  id: string
  mode: ImportMode
  status: StoredImport['status']
  options: ImportOptions
  openedAt: number
  endedAt: number | null
  parts: { part: number; isComplete: boolean; received: number; refused: number; errors: number }[]
  received: number
  refused: number
  /** Findings by code, all of them counted. */
  totals: Record<string, number>
  outcome?: Outcome
}

export const isRefused = <T extends object>(result: T | Refusal): result is Refusal => 'why' in result

const MOST_OPEN = 5
const HOUR_MS = 3_600_000
const LEFT_ALONE_MS = 24 * HOUR_MS
/** Where too many are open, one that nobody has touched for so long gives way: its sender has most likely gone. */
const GIVES_WAY_MS = HOUR_MS / 6
const REPORT_KEPT_MS = 30 * 24 * HOUR_MS
const NO_REPORT: PartReport = { received: 0, refused: 0, errors: 0, totals: {}, findings: [] }
const reportOf = (text: string | null) => (text === null ? NO_REPORT : (JSON.parse(text) as PartReport))
const add = (into: ImportState['totals'], more: ImportState['totals']) => {
  for (const [code, count] of Object.entries(more)) into[code] = (into[code] ?? 0) + count
}

/** Where an import stands; undefined when the shop has none of this id. */
export async function describeImport(database: Database, shop: string, id: string): Promise<ImportState | undefined> {
  const stored = await findImport(database, shop, id)
  return stored && stateOf(database, shop, stored)
}

async function stateOf(database: Database, shop: string, stored: StoredImport): Promise<ImportState> {
  const parts = (await listParts(database, shop, stored.id)).map(({ part, uploadId, report }) => {
    const { findings: _, totals, ...counts } = reportOf(report)
    return { part, isComplete: uploadId !== null, ...counts, totals }
  })
  const totals: ImportState['totals'] = {}
  for (const part of parts) add(totals, part.totals)
  const { duplicateRows: _, ...outcome } = JSON.parse(stored.outcome ?? '{}') as Partial<Outcome> & {
    duplicateRows?: unknown
  }
  const sum = (of: 'received' | 'refused') => parts.reduce((total, part) => total + part[of], 0)
  if (outcome.duplicates) add(totals, { SKU_DUPLICATE_IN_FILE: outcome.duplicates })
  const options = JSON.parse(stored.options) as ImportOptions
  return {
    id: stored.id,
    mode: options.mode,
    status: stored.status,
    options,
    openedAt: stored.openedAt,
    endedAt: stored.endedAt,
    parts: parts.map(({ totals: _totals, ...part }) => part),
    received: sum('received'),
    refused: sum('refused') + (outcome.duplicates ?? 0),
    totals,
    ...(stored.outcome === null || stored.status === 'open'
      ? {}
      : { outcome: completed(outcome, sum('received') - sum('refused')) }),
  }
}

function completed(outcome: Partial<Outcome>, good: number): Outcome {
  const { inserted = 0, updated = 0, retired = 0, duplicates = 0 } = outcome
  return { inserted, updated, retired, duplicates, unchanged: good - duplicates - inserted - updated }
}

/**
 * Opens an import, once for a key. What was left alone is cleaned up first.
 * @throws KeyReusedError when another request was sent under the key
 */
export async function openImport(
  database: Database,
  shop: string,
  options: ImportOptions,
  { id, now, claim }: { id: string; now: number; claim?: Claim | undefined },
): Promise<ImportState | Refusal> {
  await sweepImports(database, shop, now - LEFT_ALONE_MS, now - REPORT_KEPT_MS)
  const opening = openStatement(shop, { id, options: JSON.stringify(options), openedAt: now }, MOST_OPEN)
  const open = async () => {
    try {
      const { ref } = await once(database, { shop, claim, now }, importRef(id), (first) =>
        write(database, [...first, opening]),
      )
      return (await describeImport(database, shop, importOfRef(ref))) ?? { why: 'absent' as const }
    } catch (error) {
      if (!isConstraint(error)) throw error
      return undefined
    }
  }
  const opened = await open()
  if (opened) return opened
  await sweepImports(database, shop, now - GIVES_WAY_MS, now - REPORT_KEPT_MS)
  return (await open()) ?? { why: 'too-many-open' }
}

/** What comes in as one part. */
export interface PartBody {
  bytes: AsyncIterable<Uint8Array>
  format: Format
  /** Rows beyond which the part is refused; any number when left out. */
  mostRows?: number
}

/** Takes one part in as its bytes come; the whole part counts once all of it is there, in place of what it was before. @throws TooManyRowsError */
export async function putPart(
  database: Database,
  release: Release,
  shop: string,
  target: { importId: string; part: number; uploadId: string },
  body: PartBody,
  clock: () => number,
): Promise<PartReport | Refusal> {
  const stored = await findImport(database, shop, target.importId)
  if (!stored) return { why: 'absent' }
  if (!(await beginUpload(database, shop, target, clock()))) return { why: 'not-open' }
  const reader = new PartReader(release, JSON.parse(stored.options) as ImportOptions, body.mostRows)
  try {
    for await (const batch of reader.batches(body.bytes, body.format)) await stageRows(database, shop, target, batch)
  } catch (error) {
    await discardUpload(database, shop, target)
    throw error
  }
  const report = reader.report()
  if (await finishUpload(database, shop, target, JSON.stringify(report), clock())) return report
  await discardUpload(database, shop, target)
  return { why: 'not-open' }
}

/** Parts that are missing or still coming in, of as many as there are to be. */
function missingParts(state: ImportState, expected: number | undefined): number[] {
  const complete = new Set(state.parts.filter(({ isComplete }) => isComplete).map(({ part }) => part))
  const last = Math.max(expected ?? 1, ...state.parts.map(({ part }) => part))
  return Array.from({ length: last }, (_, index) => index + 1).filter((part) => !complete.has(part))
}

const errorsOf = (state: ImportState, duplicates: number) =>
  state.parts.reduce((total, { errors }) => total + errors, duplicates)

/** Ends an import: all of it goes into the catalogue in one write, or, where it only checks, what that would do is told. */
export async function commitImport(
  database: Database,
  shop: string,
  id: string,
  { now, parts }: { now: number; parts?: number | undefined },
): Promise<ImportState | Refusal> {
  const state = await describeImport(database, shop, id)
  if (!state) return { why: 'absent' }
  // Ending it twice is as ending it once: the answer that was lost is given again.
  if (state.status !== 'open') return state
  const missing = missingParts(state, parts)
  if (missing.length > 0) return { why: 'parts-missing', missing: missing.slice(0, 50) }
  await dropStrayRows(database, shop, id)
  const { total, first } = await findDuplicates(database, shop, id, MOST_FINDINGS)
  const { mode, maxRetiredFraction } = state.options
  const errors = errorsOf(state, total)
  const noted = { duplicates: total, duplicateRows: first }
  if (mode === 'atomic' && errors > 0) {
    await noteDuplicates(database, shop, id, JSON.stringify(noted))
    return { why: 'has-errors', errors }
  }
  if (mode === 'check') {
    const { active: _, ...counts } = await previewSwap(database, shop, id, maxRetiredFraction !== undefined)
    await noteOutcome(database, shop, id, 'checked', JSON.stringify({ ...counts, ...noted }), now)
  } else if (!(await swapIn(database, shop, id, { now, maxRetiredFraction, outcome: JSON.stringify(noted) }))) {
    const { retired, active } = await previewSwap(database, shop, id, true)
    return { why: 'retires-too-much', retired, active }
  }
  return (await describeImport(database, shop, id)) ?? { why: 'absent' }
}

/** Ends an open import without a trace in the catalogue; says whether there was one. */
export const dropImport = abortImport

export interface ImportReport {
  totals: ImportState['totals']
  /** The first findings in the order of parts and rows. */
  findings: (Finding & { part: number })[]
  isComplete: boolean
}

/** What an import found, row by row. */
export async function reportImport(database: Database, shop: string, id: string): Promise<ImportReport | undefined> {
  const stored = await findImport(database, shop, id)
  if (!stored) return undefined
  const parts = await listParts(database, shop, id)
  const { totals } = await stateOf(database, shop, stored)
  const { duplicateRows = [] } = JSON.parse(stored.outcome ?? '{}') as {
    duplicateRows?: { part: number; row: number; line: number; sku: string }[]
  }
  const duplicates = duplicateRows.map(({ part, row, line, sku }) => ({ part, ...duplicateOf(row, line, sku) }))
  const found = parts.flatMap(({ part, report }) => reportOf(report).findings.map((finding) => ({ part, ...finding })))
  const all = [...found, ...duplicates].sort((a, b) => a.part - b.part || a.row - b.row)
  const findings = all.slice(0, MOST_FINDINGS)
  const count = Object.values(totals).reduce((total, one) => total + one, 0)
  return { totals, findings, isComplete: findings.length === count }
}

const duplicateOf = (row: number, line: number, sku: string): Finding => ({
  row,
  line,
  column: 'sku',
  code: 'SKU_DUPLICATE_IN_FILE',
  severity: 'error',
  effect: 'row-left-out',
  message: 'an earlier row has this SKU',
  value: sku,
})
