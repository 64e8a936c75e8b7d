/** What an import has to say of a row. */
export type FindingCode =
  | 'ATTRIBUTE_AMBIGUOUS'
  | 'ATTRIBUTE_CONFLICT'
  | 'ATTRIBUTE_OF_OTHERS'
  | 'CSV_UNTERMINATED_QUOTE'
  | 'CURRENCY_UNKNOWN'
  | 'DATE_INVALID'
  | 'ENCODING_NOT_UTF8'
  | 'GTIN_CHECK_DIGIT'
  | 'GTIN_LENGTH'
  | 'GTIN_RESTRICTED'
  | 'GTIN_SCIENTIFIC_NOTATION'
  | 'HEADER_DUPLICATE'
  | 'HEADER_MISSING'
  | 'HEADER_TOO_LONG'
  | 'HEADER_UNKNOWN'
  | 'JSON_INVALID'
  | 'NUMBER_AMBIGUOUS'
  | 'NUMBER_INVALID'
  | 'PART_CLASS_UNKNOWN'
  | 'PRICE_INVALID'
  | 'QUANTITY_OUT_OF_RANGE'
  | 'ROW_FIELD_COUNT'
  | 'SKU_DUPLICATE_IN_FILE'
  | 'SKU_MISSING'
  | 'TEXT_TOO_LONG'
  | 'TITLE_MISSING'
  | 'UNIT_UNKNOWN'
  | 'VALUE_UNKNOWN'

/** What a finding does to its row where the import goes on. */
export type Effect = 'row-left-out' | 'value-left-out' | 'none'

export interface Finding {
  /** Number of the record after the header, from 1; 0 for the header or the whole file. */
  row: number
  /** Line of the file on which the record begins. */
  line: number
  /** Name of the column, or a JSON pointer into the object. */
  column: string
  code: FindingCode
  severity: 'error' | 'warning'
  effect: Effect
  message: string
  value?: string
  suggestion?: string
}

/** A fault of the whole file: nothing behind it can be read. */
export class FileFault extends Error {
  readonly finding: Finding

  constructor(finding: Omit<Finding, 'severity' | 'effect'>) {
    super(finding.message)
    this.name = 'FileFault'
    this.finding = { ...finding, severity: 'error', effect: 'row-left-out' }
  }
}

/** Most findings that are kept of a part; the totals count all. */
export const MOST_FINDINGS = 1000
const LONGEST_VALUE = 80
const LONGEST_COLUMN = 120

/** Findings of one file: the first of them in full, all of them counted. */
export class Findings {
  readonly kept: Finding[] = []
  readonly totals: Record<string, number> = {}
  errors = 0

  add(finding: Finding): void {
    const value = finding.value === undefined ? {} : { value: finding.value.slice(0, LONGEST_VALUE) }
    const column = finding.column.slice(0, LONGEST_COLUMN)
    if (this.kept.length < MOST_FINDINGS) this.kept.push({ ...finding, column, ...value })
    this.totals[finding.code] = (this.totals[finding.code] ?? 0) + 1
    if (finding.severity === 'error') this.errors++
  }
}
