import type { Item } from '../domain/parts/types.ts'
import type { Release } from '../ontology/release.ts'
import type { PartClass } from '../ontology/shape.ts'
import { type CsvRecord, parseCsv, UnclosedQuoteError } from './csv.ts'

export interface RowFault {
  /** Number of the record after the header, from 1. */
  row: number
  /** Line of the file on which the record begins. */
  line: number
  column: string
  code:
    | 'CSV_UNTERMINATED_QUOTE'
    | 'HEADER_MISSING'
    | 'HEADER_DUPLICATE'
    | 'HEADER_UNKNOWN'
    | 'ROW_FIELD_COUNT'
    | 'SKU_MISSING'
    | 'SKU_DUPLICATE_IN_FILE'
    | 'PART_CLASS_UNKNOWN'
    | 'NUMBER_AMBIGUOUS'
    | 'NUMBER_INVALID'
    | 'PRICE_INVALID'
    | 'CURRENCY_UNKNOWN'
    | 'VALUE_UNKNOWN'
  message: string
  value: string
}
export interface CatalogueFile {
  items: Item[]
  faults: RowFault[]
  rows: number
}

const FIXED = ['sku', 'title', 'part_class', 'price', 'currency', 'stock', 'pack_quantity'] as const
const REQUIRED = ['sku', 'title', 'part_class'] as const
/** Currencies whose minor unit has not two digits (ISO 4217, from memory). */
const MINOR_DIGITS: Record<string, number> = {
  ...Object.fromEntries(
    'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF'.split(' ').map((code) => [code, 0]),
  ),
  ...Object.fromEntries('BHD IQD JOD KWD LYD OMR TND'.split(' ').map((code) => [code, 3])),
}
const CURRENCY = /^[A-Z]{3}$/

class Row {
  readonly cells: Map<string, string>
  readonly faults: RowFault[] = []
  readonly row: number
  readonly line: number

  constructor(header: readonly string[], record: CsvRecord, row: number) {
    this.row = row
    this.line = record.line
    this.cells = new Map(header.map((name, index) => [name, (record.fields[index] ?? '').trim()]))
    if (record.fields.length !== header.length)
      this.fault(
        '',
        'ROW_FIELD_COUNT',
        `must have ${header.length} fields, has ${record.fields.length}`,
        `${record.fields.length}`,
      )
  }

  cell(name: string): string {
    return this.cells.get(name) ?? ''
  }

  fault(column: string, code: RowFault['code'], message: string, value = this.cell(column)): void {
    this.faults.push({ row: this.row, line: this.line, column, code, message, value: value.slice(0, 80) })
  }

  /** A whole number of at least `least`; undefined when the cell is empty or faulty. */
  whole(column: string, least: number): number | undefined {
    const text = this.cell(column)
    if (text === '') return undefined
    if (/^\d{1,9}$/.test(text) && Number(text) >= least) return Number(text)
    this.fault(column, 'NUMBER_INVALID', `must be a whole number of at least ${least}`)
    return undefined
  }
}

function priceOf(row: Row): Pick<Item, 'priceMinor' | 'currency'> {
  const text = row.cell('price')
  const currency = row.cell('currency')
  if (text === '') return {}
  if (!CURRENCY.test(currency)) {
    row.fault('currency', 'CURRENCY_UNKNOWN', 'must be an ISO 4217 code such as EUR where a price is given')
    return {}
  }
  const digits = MINOR_DIGITS[currency] ?? 2
  const form = digits === 0 ? /^\d{1,9}$/ : new RegExp(`^\\d{1,9}(\\.\\d{1,${digits}})?$`)
  if (form.test(text)) return { priceMinor: Math.round(Number(text) * 10 ** digits), currency }
  row.fault('price', 'PRICE_INVALID', `must be a number with a point and at most ${digits} decimals`)
  return {}
}

type AttributeSpec = PartClass['attributes'][number]

const NUMBER = /^-?\d+(\.\d+)?$/
const RANGE = /^(-?\d+(?:\.\d+)?)\.\.(-?\d+(?:\.\d+)?)$/
/** One separator with three digits behind it: thousands in one country, decimals in another. Never guessed. */
const AMBIGUOUS = /^-?[1-9]\d{0,2}[.,]\d{3}$/

/** A number, or a range such as 10.5..14; undefined with a fault for anything else. */
function numberValue(row: Row, { name, unit }: AttributeSpec, text: string): Item['attributes'][string] | undefined {
  const [, min, max] = RANGE.exec(text) ?? []
  if (min !== undefined && max !== undefined && Number(min) <= Number(max))
    return { min: Number(min), max: Number(max) }
  if (AMBIGUOUS.test(text)) {
    const plain = text.replace(/[.,]/, '')
    const decimal = text.replace(',', '.')
    row.fault(name, 'NUMBER_AMBIGUOUS', `may mean ${plain} or ${decimal}: write ${plain}, or ${decimal}0`)
    return undefined
  }
  if (NUMBER.test(text)) return Number(text)
  const inUnit = unit ? `, in ${unit}` : ''
  row.fault(name, 'NUMBER_INVALID', `must be a number with a decimal point, or a range such as 10.5..14${inUnit}`)
  return undefined
}

/** A cell read as its attribute's type; "none" says that the part has it not. */
function attributeValue(row: Row, spec: AttributeSpec, text: string): Item['attributes'][string] | undefined {
  if (text === 'none') return 'none'
  if (spec.type === 'number') return numberValue(row, spec, text)
  if (spec.type === 'boolean') {
    if (text === 'true' || text === 'false') return text === 'true'
    row.fault(spec.name, 'VALUE_UNKNOWN', 'must be true or false')
    return undefined
  }
  if (!spec.values || spec.values.includes(text)) return text
  row.fault(spec.name, 'VALUE_UNKNOWN', `must be one of ${spec.values.join(', ')}`)
  return undefined
}

function itemOf(release: Release, header: readonly string[], row: Row): Item {
  const partClass = row.cell('part_class')
  const found = release.concepts.get(partClass)
  const specs = found?.kind === 'part-class' ? (found.concept as PartClass).attributes : []
  if (row.cell('sku') === '') row.fault('sku', 'SKU_MISSING', 'must not be empty')
  if (specs.length === 0)
    row.fault('part_class', 'PART_CLASS_UNKNOWN', `must be a part class of release ${release.version}`)
  const attributes: Record<string, Item['attributes'][string]> = {}
  for (const name of header) {
    const spec = specs.find((candidate) => candidate.name === name)
    const text = row.cell(name)
    const value = spec && text !== '' ? attributeValue(row, spec, text) : undefined
    if (value !== undefined) attributes[name] = value
  }
  const stock = row.whole('stock', 0)
  const packQuantity = row.whole('pack_quantity', 1)
  return {
    sku: row.cell('sku'),
    title: row.cell('title'),
    partClass,
    attributes,
    ...priceOf(row),
    ...(stock === undefined ? {} : { stock }),
    ...(packQuantity === undefined ? {} : { packQuantity }),
  }
}

function headerFaults(release: Release, header: readonly string[]): RowFault[] {
  const known = new Set<string>(FIXED)
  for (const { kind, concept } of release.concepts.values())
    if (kind === 'part-class') for (const { name } of (concept as PartClass).attributes) known.add(name)
  const fault = (column: string, code: RowFault['code'], message: string) => ({
    row: 0,
    line: 1,
    column,
    code,
    message,
    value: column,
  })
  return [
    ...REQUIRED.filter((name) => !header.includes(name)).map((name) =>
      fault(name, 'HEADER_MISSING', 'the header must name this column'),
    ),
    ...header
      .filter((name, index) => header.indexOf(name) !== index)
      .map((name) => fault(name, 'HEADER_DUPLICATE', 'the header names this column twice')),
    ...header
      .filter((name) => !known.has(name))
      .map((name) => fault(name, 'HEADER_UNKNOWN', 'no part class has an attribute of this name')),
  ]
}

function readRecords(release: Release, [first, ...records]: readonly CsvRecord[]): CatalogueFile {
  const header = first?.fields.map((name) => name.trim()) ?? []
  const faults = headerFaults(release, header)
  if (faults.length > 0) return { items: [], faults, rows: records.length }
  const seen = new Set<string>()
  const items: Item[] = []
  records.forEach((record, index) => {
    const row = new Row(header, record, index + 1)
    const item = itemOf(release, header, row)
    if (item.sku !== '' && seen.has(item.sku)) row.fault('sku', 'SKU_DUPLICATE_IN_FILE', 'an earlier row has this SKU')
    seen.add(item.sku)
    if (row.faults.length === 0) items.push(item)
    faults.push(...row.faults)
  })
  return { items, faults, rows: records.length }
}

/**
 * Reads a shop's catalogue from CSV: sku, title, part_class, price, currency, stock, pack_quantity, and one column for
 * each attribute by its name in the ontology. A faulty row yields no item; every fault names row, line, column and value.
 */
export function readCatalogueFile(release: Release, text: string): CatalogueFile {
  try {
    return readRecords(release, parseCsv(text))
  } catch (error) {
    if (!(error instanceof UnclosedQuoteError)) throw error
    const { line, message } = error
    const fault = { row: 0, line, column: '', code: 'CSV_UNTERMINATED_QUOTE' as const, message, value: '' }
    return { items: [], faults: [fault], rows: 0 }
  }
}
