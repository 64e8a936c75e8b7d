import type { Kind, Ontology } from '../shape.ts'

/** RFC 4180 field; a field that a spreadsheet would run as a formula is led by an apostrophe. */
function field(value: string): string {
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value
  return /[",\n\r]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

function cell(value: unknown): string {
  if (value === undefined || value === null) return ''
  if (Array.isArray(value) && value.every((item) => typeof item === 'string')) return value.join(' | ')
  return typeof value === 'object' ? JSON.stringify(value) : String(value)
}

/** Texts become one column a language; everything else that is nested stays JSON in one cell. */
function columnsOf(record: Record<string, unknown>): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(record).flatMap(([name, value]) => {
      const isText = typeof value === 'object' && value !== null && 'en-US' in value
      if (!isText) return [[name, value]]
      return ['en-US', 'en-GB'].map((language) => [`${name}@${language}`, (value as Record<string, unknown>)[language]])
    }),
  )
}

/** All concepts of a kind as CSV with a heading row, CRLF line ends (RFC 4180). */
export function conceptsCsv(ontology: Ontology, kind: Kind): string {
  const rows = ontology[kind].map((concept) => columnsOf(concept as unknown as Record<string, unknown>))
  const names = [...new Set(rows.flatMap((row) => Object.keys(row)))]
  return [names, ...rows.map((row) => names.map((name) => cell(row[name])))]
    .map((cells) => `${cells.map(field).join(',')}\r\n`)
    .join('')
}
