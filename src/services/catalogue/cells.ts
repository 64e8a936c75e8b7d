import type { ValueRange } from '../../domain/parts/types.ts'
import type { Effect, Finding, FindingCode } from './finding.ts'

/** What a field holds: text from CSV, a value of its own type from JSON. */
export type Cell = string | number | boolean | ValueRange | Measured

/** A number or a range with its unit beside it, as JSON states it. */
export type Measured = ({ value: number } | ValueRange) & { unit: string }

/** One record of a file: its cells by column, and what is found about them. */
export class Cells {
  readonly findings: Finding[] = []
  readonly #cells: ReadonlyMap<string, Cell>
  readonly #named: (column: string) => string
  readonly row: number
  readonly line: number

  /** @param named - what the caller knows a column as: its own header, or a JSON pointer */
  constructor(row: number, line: number, cells: ReadonlyMap<string, Cell>, named: (column: string) => string) {
    this.row = row
    this.line = line
    this.#cells = cells
    this.#named = named
  }

  get(column: string): Cell | undefined {
    const cell = this.#cells.get(column)
    const value = typeof cell === 'string' ? cell.trim() : cell
    return value === '' ? undefined : value
  }

  text(column: string): string {
    const cell = this.get(column)
    return cell === undefined || typeof cell === 'object' ? '' : String(cell)
  }

  columns(): IterableIterator<string> {
    return this.#cells.keys()
  }

  #note(
    column: string,
    code: FindingCode,
    severity: Finding['severity'],
    effect: Effect,
    message: string,
    suggestion?: string,
  ) {
    const { row, line } = this
    const cell = this.#cells.get(column)
    const value = cell === undefined ? {} : { value: typeof cell === 'object' ? JSON.stringify(cell) : String(cell) }
    const more = suggestion === undefined ? {} : { suggestion }
    this.findings.push({ row, line, column: this.#named(column), code, severity, effect, message, ...value, ...more })
  }

  /** A fault for which the whole row is left out. */
  refuse(column: string, code: FindingCode, message: string, suggestion?: string): undefined {
    this.#note(column, code, 'error', 'row-left-out', message, suggestion)
  }

  /** A fault for which one value stays unknown. */
  drop(column: string, code: FindingCode, message: string, suggestion?: string): undefined {
    this.#note(column, code, 'error', 'value-left-out', message, suggestion)
  }

  /** Something to know, after which all goes on. */
  warn(column: string, code: FindingCode, message: string, effect: Effect = 'none', suggestion?: string): undefined {
    this.#note(column, code, 'warning', effect, message, suggestion)
  }
}
