import type { Release } from '../../ontology/release.ts'
import type { StagedRow } from '../../store/catalogue/imports.ts'
import { Cells } from './cells.ts'
import type { ColumnOptions } from './columns.ts'
import { contentHash } from './content-hash.ts'
import { FileFault, type Finding, Findings } from './finding.ts'
import { type ReadOptions, readItem } from './read-item.ts'
import { readTitle } from './read-title.ts'
import { csvCells, type Format, ndjsonCells, productCells, strictText } from './records.ts'

/** How the parts of an import are read; stated when it is opened. */
export interface PartOptions extends ReadOptions, ColumnOptions {
  /** Whether attributes that no column states are read out of the title. */
  readTitles?: boolean | undefined
}
/** What one part held. */
export interface PartReport {
  received: number
  refused: number
  errors: number
  totals: Record<string, number>
  findings: Finding[]
}

/** A part of more rows than one upload may bring. */
export class TooManyRowsError extends Error {
  readonly limit: number

  constructor(limit: number) {
    super(`must have at most ${limit} rows`)
    this.name = 'TooManyRowsError'
    this.limit = limit
  }
}

/** Rows that go to the database in one write. */
const ROWS_A_WRITE = 500

export type Batch = StagedRow[]

/** Reads a part as its bytes come: batches of rows go out, what is found gathers in the report. */
export class PartReader {
  readonly #release: Release
  readonly #options: PartOptions
  readonly #findings = new Findings()
  readonly #mostRows: number
  #received = 0
  #refused = 0

  constructor(release: Release, options: PartOptions, mostRows = Number.POSITIVE_INFINITY) {
    this.#release = release
    this.#options = options
    this.#mostRows = mostRows
  }

  /** Batches of a part; nothing but one batch is ever held. A file that cannot be read further ends with a finding. @throws TooManyRowsError */
  async *batches(bytes: AsyncIterable<Uint8Array>, format: Format): AsyncGenerator<Batch> {
    const text = strictText(bytes)
    const records = this.#records(text, format)
    let batch: Batch = []
    try {
      for await (const one of records) {
        if (one instanceof Cells) batch.push(...this.#staged(one))
        else this.#findings.add(one)
        if (batch.length < ROWS_A_WRITE) continue
        yield batch
        batch = []
      }
    } catch (error) {
      if (!(error instanceof FileFault)) throw error
      this.#findings.add(error.finding)
    }
    if (batch.length > 0) yield batch
  }

  #records(text: AsyncIterable<string>, format: Format): AsyncIterable<Cells | Finding> {
    if (format === 'csv') return csvCells(this.#release, text, this.#options)
    return format === 'products' ? productCells(text) : ndjsonCells(text)
  }

  #staged(cells: Cells): StagedRow[] {
    if (++this.#received > this.#mostRows) throw new TooManyRowsError(this.#mostRows)
    if (cells.findings.some(({ code }) => code === 'JSON_INVALID')) return this.#unreadable(cells)
    const item = readTitle(this.#release, cells, readItem(this.#release, cells, this.#options), this.#options)
    for (const finding of cells.findings) this.#findings.add(finding)
    const { row, line } = cells
    if (!cells.findings.some(({ effect }) => effect === 'row-left-out'))
      return [{ row, line, item: { ...item, contentHash: contentHash(item) } }]
    this.#refused++
    return item.sku === '' ? [] : [{ row, line, refusedSku: item.sku }]
  }

  #unreadable(cells: Cells): StagedRow[] {
    for (const finding of cells.findings) this.#findings.add(finding)
    this.#refused++
    return []
  }

  report(): PartReport {
    const { kept, totals, errors } = this.#findings
    return { received: this.#received, refused: this.#refused, errors, totals, findings: kept }
  }
}
