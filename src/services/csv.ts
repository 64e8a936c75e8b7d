/** One record of a CSV text with the line it begins on. */
export interface CsvRecord {
  fields: string[]
  line: number
}

/** A quote in the record that begins on `line` is never closed, so nothing after it can be told apart. */
export class UnclosedQuoteError extends Error {
  readonly line: number

  constructor(line: number) {
    super(`the quote that opens in the record of line ${line} is never closed`)
    this.name = 'UnclosedQuoteError'
    this.line = line
  }
}

/** A record that is still open after so many characters has a quote that nobody closes. */
const LONGEST_RECORD = 1024 * 1024

/** What stands between two quotes, quotes written twice taken as one; undefined when the text ends before the quote does. */
function quotedField(text: string, from: number, isEnd: boolean): { value: string; next: number } | undefined {
  let value = ''
  for (let start = from; ; ) {
    const quote = text.indexOf('"', start)
    if (quote < 0 || (quote === text.length - 1 && !isEnd)) return undefined
    value += text.slice(start, quote)
    if (text[quote + 1] !== '"') return { value, next: quote + 1 }
    value += '"'
    start = quote + 2
  }
}

/** Where a field without quotes ends: before a delimiter or the end of its line. */
function plainEnd(text: string, from: number, delimiter: string): number {
  const mark = delimiter.charCodeAt(0)
  for (let at = from; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code === mark || code === 10 || (code === 13 && text.charCodeAt(at + 1) === 10)) return at
  }
  return text.length
}

/** One record from a place on; undefined when the text ends before the record surely does. */
function recordAt(text: string, from: number, delimiter: string, isEnd: boolean) {
  const fields: string[] = []
  for (let at = from; ; at++) {
    const quoted = text[at] === '"' ? quotedField(text, at + 1, isEnd) : { value: '', next: at }
    if (!quoted) return undefined
    const end = plainEnd(text, quoted.next, delimiter)
    const isOpen = end === text.length || (end === text.length - 1 && text[end] === '\r')
    if (isOpen && !isEnd) return undefined
    fields.push(quoted.value + text.slice(quoted.next, end))
    if (text[end] === delimiter) at = end
    else return { fields, next: text[end] === '\r' ? end + 2 : end + 1 }
  }
}

function lineBreaks(text: string, from: number, to: number): number {
  let count = 0
  for (let at = text.indexOf('\n', from); at >= 0 && at < to; at = text.indexOf('\n', at + 1)) count++
  return count
}

const DELIMITERS = [',', ';', '\t']

/** The delimiter that stands most often outside quotes on the first line; a comma where none does. */
export function sniffDelimiter(header: string): string {
  const line = (/^(?:"(?:[^"]|"")*"|[^"\n])*/.exec(header)?.[0] ?? '').replace(/"(?:[^"]|"")*"/g, '')
  const counts = DELIMITERS.map((delimiter) => line.split(delimiter).length)
  return DELIMITERS[counts.indexOf(Math.max(...counts))]!
}

/**
 * Reads CSV (RFC 4180) that comes in pieces: quoted fields may hold delimiters, quotes written twice and line breaks; CRLF or
 * LF; blank lines are skipped. The delimiter is told from the first line unless it is given. Memory holds one record.
 */
export class CsvReader {
  #rest = ''
  #line = 1
  #delimiter: string | undefined
  /** An open record is looked at again once it has doubled, so that tiny pieces cost no more than large ones. */
  #nextLook = 0

  constructor(delimiter?: string) {
    this.#delimiter = delimiter
  }

  /** Records that are complete with this piece. @throws UnclosedQuoteError */
  push(piece: string): CsvRecord[] {
    this.#rest += piece
    if (this.#rest.length < this.#nextLook) return []
    const records = this.#read(false)
    this.#nextLook = Math.min(2 * this.#rest.length, LONGEST_RECORD + 1)
    return records
  }

  /** The last record, when no line break ends it. @throws UnclosedQuoteError */
  end(): CsvRecord[] {
    return this.#read(true)
  }

  #read(isEnd: boolean): CsvRecord[] {
    const isHeaderOpen = this.#delimiter === undefined && !this.#rest.includes('\n')
    if (isHeaderOpen && !isEnd && this.#rest.length <= LONGEST_RECORD) return []
    this.#delimiter ??= sniffDelimiter(this.#rest)
    const text = this.#rest
    const records: CsvRecord[] = []
    let at = 0
    while (at < text.length) {
      const record = recordAt(text, at, this.#delimiter, isEnd)
      if (!record) break
      if (record.fields.length > 1 || record.fields[0] !== '') records.push({ fields: record.fields, line: this.#line })
      this.#line += lineBreaks(text, at, record.next)
      at = record.next
    }
    this.#rest = text.slice(at)
    if (this.#rest.length > (isEnd ? 0 : LONGEST_RECORD)) throw new UnclosedQuoteError(this.#line)
    return records
  }
}

/** All records of a CSV text with commas; a byte-order mark is skipped. @throws UnclosedQuoteError */
export function parseCsv(text: string): CsvRecord[] {
  const reader = new CsvReader(',')
  return [...reader.push(text.startsWith('\ufeff') ? text.slice(1) : text), ...reader.end()]
}
