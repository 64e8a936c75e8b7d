import type { Release } from '../../ontology/release.ts'
import { CsvReader, UnclosedQuoteError } from '../csv.ts'
import { type Cell, Cells } from './cells.ts'
import { type ColumnOptions, readHeader } from './columns.ts'
import { FileFault, type Finding } from './finding.ts'
import { fieldsOfProduct } from './product-ld.ts'

export type Format = 'csv' | 'ndjson' | 'products'

/** Text of a stream of bytes; anything but UTF-8 stops it. A byte-order mark is left out. */
export async function* strictText(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<string> {
  const decoder = new TextDecoder('utf-8', { fatal: true })
  let line = 1
  const decode = (piece?: Uint8Array) => {
    try {
      return piece === undefined ? decoder.decode() : decoder.decode(piece, { stream: true })
    } catch {
      const readable = new TextDecoder().decode(piece).split('\ufffd')[0]!
      line += readable.split('\n').length - 1
      const message = 'must be UTF-8: save the file with that encoding; nothing behind this place can be read'
      throw new FileFault({ row: 0, line, column: '', code: 'ENCODING_NOT_UTF8', message })
    }
  }
  for await (const piece of bytes) {
    const text = decode(piece)
    yield text
    line += text.split('\n').length - 1
  }
  yield decode()
}

/** Records of CSV as cells; findings of the header come first, and where one is an error no row follows. */
export async function* csvCells(
  release: Release,
  text: AsyncIterable<string>,
  options: ColumnOptions,
): AsyncGenerator<Cells | Finding> {
  const reader = new CsvReader()
  let header: (string | undefined)[] | undefined
  let written: string[] = []
  let row = 0
  let isReadable = true
  const cellsOf = function* (records: ReturnType<CsvReader['push']>) {
    for (const { fields, line } of records) {
      if (header === undefined) {
        written = fields.map((name) => name.trim())
        const { names, findings } = readHeader(release, fields, options)
        header = names
        yield* findings
        isReadable = !findings.some(({ severity }) => severity === 'error')
        continue
      }
      row++
      if (isReadable) yield rowCells(row, line, header, written, fields)
    }
  }
  try {
    for await (const piece of text) yield* cellsOf(reader.push(piece))
    yield* cellsOf(reader.end())
    if (header === undefined) yield* readHeader(release, [], options).findings
  } catch (error) {
    if (!(error instanceof UnclosedQuoteError)) throw error
    const { line, message } = error
    throw new FileFault({ row: row + 1, line, column: '', code: 'CSV_UNTERMINATED_QUOTE', message })
  }
}

/** A mark before what a spreadsheet would run as a formula; the export puts it there, the import takes it away. */
const MARKED = /^'(?=[=+\-@\t\r\n＝＋－＠'])/

function rowCells(
  row: number,
  line: number,
  header: readonly (string | undefined)[],
  written: string[],
  fields: string[],
) {
  const cells = new Map<string, Cell>()
  header.forEach((name, index) => {
    if (name !== undefined) cells.set(name, (fields[index] ?? '').replace(MARKED, ''))
  })
  const made = new Cells(row, line, cells, (column) => written[header.indexOf(column)] ?? column)
  if (fields.length !== header.length)
    made.refuse('', 'ROW_FIELD_COUNT', `must have ${header.length} fields, has ${fields.length}`)
  return made
}

/** Fields of an item in JSON, and the columns that they are. */
const JSON_FIELDS: Record<string, string> = {
  sku: 'sku',
  title: 'title',
  partClass: 'part_class',
  price: 'price',
  priceMinor: 'priceMinor',
  currency: 'currency',
  stock: 'stock',
  packQuantity: 'pack_quantity',
  gtin14: 'gtin',
  gtin: 'gtin',
  mpn: 'mpn',
  brand: 'brand',
  madeOn: 'made_on',
  isDiscontinued: 'is_discontinued',
  successorSku: 'successor_sku',
  needsInstaller: 'needs_installer',
  needsActivation: 'needs_activation',
}
const POINTERS = new Map(Object.entries(JSON_FIELDS).map(([field, column]) => [column, `/${field}`]))

function isCell(value: unknown): value is Cell {
  if (typeof value !== 'object' || value === null) return ['string', 'number', 'boolean'].includes(typeof value)
  const { min, max, value: amount, unit } = value as Record<string, unknown>
  if (unit !== undefined && typeof unit !== 'string') return false
  if (typeof min === 'number' && typeof max === 'number') return min <= max
  return typeof amount === 'number' && unit !== undefined
}

/** An object as cells; what it holds beside the fields of an item is told and not read. */
export function objectCells(value: unknown, row: number, line: number): Cells {
  const object = (typeof value === 'object' && value !== null && !Array.isArray(value) ? value : {}) as Record<
    string,
    unknown
  >
  const cells = new Map<string, Cell>()
  const odd: [string, string][] = []
  const take = (column: string | undefined, pointer: string, content: unknown) => {
    if (column === undefined) odd.push([pointer, 'is no field of an item: it is not read'])
    else if (isCell(content)) cells.set(column, content)
    else if (content !== null) odd.push([pointer, 'must be text, a number, true or false, or a range'])
  }
  const { attributes, readFromTitle: _, updatedAt: _at, isRetired: _is, ...fields } = object
  for (const [name, content] of Object.entries(fields))
    take(Object.hasOwn(JSON_FIELDS, name) ? JSON_FIELDS[name] : undefined, `/${name}`, content)
  if (typeof attributes === 'object' && attributes !== null && !Array.isArray(attributes))
    for (const [name, content] of Object.entries(attributes)) take(name, `/attributes/${name}`, content)
  else if (attributes !== undefined && attributes !== null)
    odd.push(['/attributes', 'must be an object: it is not read'])
  const made = new Cells(
    row,
    line,
    cells,
    (column) => POINTERS.get(column) ?? (column === '' ? '' : `/attributes/${column}`),
  )
  if (object !== value) made.refuse('', 'JSON_INVALID', 'must be an object')
  for (const [pointer, message] of odd)
    made.findings.push({
      row,
      line,
      column: pointer.slice(0, 120),
      code: 'HEADER_UNKNOWN',
      severity: 'warning',
      effect: 'none',
      message,
    })
  return made
}

const LONGEST_LINE = 1024 * 1024

/** Lines of text in pieces, with their numbers; a line that never ends stops it. */
async function* numberedLines(text: AsyncIterable<string>): AsyncGenerator<[string, number]> {
  let rest = ''
  let line = 0
  for await (const piece of text) {
    // Joined and cut only where a line ends, so that tiny pieces cost no more than large ones.
    const lines = piece.includes('\n') ? (rest + piece).split('\n') : undefined
    rest = lines ? lines.pop()! : rest + piece
    for (const one of lines ?? []) yield [one, ++line]
    if (rest.length > LONGEST_LINE)
      throw new FileFault({
        row: 0,
        line: line + 1,
        column: '',
        code: 'JSON_INVALID',
        message: `must be at most ${LONGEST_LINE} characters`,
      })
  }
  if (rest !== '') yield [rest, ++line]
}

/** Records of NDJSON as cells, one object a line; blank lines are skipped. */
export async function* ndjsonCells(text: AsyncIterable<string>): AsyncGenerator<Cells> {
  let row = 0
  for await (const [content, line] of numberedLines(text)) {
    if (content.trim() === '') continue
    row++
    yield parsedCells(content, row, line, (value) => value)
  }
}

function parsedCells(content: string, row: number, line: number, fieldsOf: (value: unknown) => unknown): Cells {
  try {
    return objectCells(fieldsOf(JSON.parse(content)), row, line)
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error
    const broken = new Cells(row, line, new Map([['', content]]), () => '')
    broken.refuse('', 'JSON_INVALID', 'must be one JSON object')
    return broken
  }
}

/** Objects of the first list in a JSON text that comes in pieces, each as its own text with the line it begins on. */
async function* objectsInList(text: AsyncIterable<string>): AsyncGenerator<[string, number]> {
  let [depth, list, line] = [0, -1, 1]
  let [isQuoted, isEscaped] = [false, false]
  let [object, start] = ['', 1]
  for await (const piece of text) {
    let from = 0
    for (let at = 0; at < piece.length; at++) {
      const letter = piece[at]!
      if (letter === '\n') line++
      if (isQuoted) {
        if (isEscaped) isEscaped = false
        else if (letter === '\\') isEscaped = true
        else if (letter === '"') isQuoted = false
      } else if (letter === '"') isQuoted = true
      else if (letter === '[' || letter === '{') {
        if (letter === '[' && list < 0) list = depth
        if (letter === '{' && depth === list + 1 && list >= 0) [from, object, start] = [at, '', line]
        depth++
      } else if (letter === ']' || letter === '}') {
        depth--
        if (letter === '}' && depth === list + 1 && list >= 0) yield [object + piece.slice(from, at + 1), start]
        if (depth === list) return
      }
    }
    if (list >= 0 && depth > list + 1) object += piece.slice(from)
    if (object.length > LONGEST_LINE)
      throw new FileFault({
        row: 0,
        line: start,
        column: '',
        code: 'JSON_INVALID',
        message: `must be at most ${LONGEST_LINE} characters`,
      })
  }
  const message = 'must be a list of products, or an object with a list of them, that is closed'
  throw new FileFault({ row: 0, line, column: '', code: 'JSON_INVALID', message })
}

/** Records of a JSON-LD document as cells: the schema.org products of its list. */
export async function* productCells(text: AsyncIterable<string>): AsyncGenerator<Cells> {
  let row = 0
  for await (const [content, line] of objectsInList(text)) yield parsedCells(content, ++row, line, fieldsOfProduct)
}
