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

/**
 * Records of a CSV text (RFC 4180): quoted fields may hold commas, quotes written twice and line breaks; CRLF or LF; a
 * byte-order mark and blank lines are skipped. Throws on a quote that is never closed, naming its line.
 */
export function parseCsv(text: string): CsvRecord[] {
  const source = text.startsWith('\ufeff') ? text.slice(1) : text
  const records: CsvRecord[] = []
  let fields: string[] = []
  let field = ''
  let isQuoted = false
  let line = 1
  let start = 1
  const endRecord = () => {
    if (fields.length > 0 || field !== '') records.push({ fields: [...fields, field], line: start })
    fields = []
    field = ''
  }
  for (let at = 0; at < source.length; at++) {
    const letter = source[at]!
    if (letter === '\n') line++
    if (isQuoted) {
      if (letter !== '"') field += letter
      else if (source[at + 1] === '"') field += source[++at]
      else isQuoted = false
    } else if (letter === '"' && field === '') isQuoted = true
    else if (letter === ',') {
      fields.push(field)
      field = ''
    } else if (letter === '\n' || (letter === '\r' && source[at + 1] === '\n')) {
      if (letter === '\n') {
        endRecord()
        start = line
      }
    } else field += letter
  }
  if (isQuoted) throw new UnclosedQuoteError(start)
  endRecord()
  return records
}
