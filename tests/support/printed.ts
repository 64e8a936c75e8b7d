import { readFileSync } from 'node:fs'
import { expect } from 'vitest'

/** A check value with where it was printed. */
export interface ReferenceRow {
  id: string
  source: string
  given: Record<string, any>
  expected: Record<string, any>
  tolerance_note: string
}

/** Check values of a file by id, compared to as many digits as they are printed with; the worst of each source is told. */
export class PrintedValues {
  readonly #rows: Map<string, ReferenceRow>
  readonly #read = new Set<string>()
  readonly #worst = new Map<string, { relative: number; at: string }>()
  #compared = 0

  constructor(path: string) {
    const rows = JSON.parse(readFileSync(path, 'utf8')) as ReferenceRow[]
    this.#rows = new Map(rows.map((row) => [row.id, row]))
  }

  row(id: string): ReferenceRow {
    this.#read.add(id)
    return this.#rows.get(id)!
  }

  /** Half a unit in the last printed place; 1e-9 of the value where the row says that its decimals are exact. */
  agrees(id: string, actual: number, printed: string): void {
    const { source, tolerance_note: note } = this.row(id)
    const value = Number(printed)
    const decimals = printed.split('.')[1]?.length ?? 0
    const tolerance = /exact/.test(note) ? 1e-9 * Math.max(1, Math.abs(value)) : 0.5 * 10 ** -decimals
    const relative = Math.abs(actual - value) / Math.abs(value || 1)
    const worst = this.#worst.get(source)
    if (!worst || relative > worst.relative)
      this.#worst.set(source, { relative, at: `${id}: ${actual} against ${printed}` })
    this.#compared++
    expect(Math.abs(actual - value), `${id}: ${actual} against ${printed}`).toBeLessThanOrEqual(tolerance * (1 + 1e-9))
  }

  /** Rows that no test has looked at. */
  unread(): string[] {
    return [...this.#rows.keys()].filter((id) => !this.#read.has(id))
  }

  report(title: string): void {
    const lines = [...this.#worst].map(
      ([source, { relative, at }]) => `  ${relative.toExponential(2)} ${source} (${at})`,
    )
    console.info(`${title}: ${this.#compared} values, worst relative deviation by source:\n${lines.join('\n')}`)
  }
}
