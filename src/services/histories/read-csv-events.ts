import { type CsvRecord, parseCsv, UnclosedQuoteError } from '../csv.ts'
import {
  type Columns,
  type EventFault,
  FIELDS,
  type Field,
  faultAt,
  type RawEvent,
  type ReadEvents,
} from './raw-event.ts'

const POINTER = '/csv'

function recordsOf(text: string): { records: CsvRecord[]; faults: EventFault[] } {
  try {
    return { records: parseCsv(text), faults: [] }
  } catch (error) {
    if (!(error instanceof UnclosedQuoteError)) throw error
    return {
      records: [],
      faults: [faultAt({ pointer: POINTER, line: error.line }, 'record', 'has a quote that is never closed')],
    }
  }
}

/** Where each field stands; a column that the map names must be there, the others only count where they are. */
function placesOf(header: readonly string[], columns: Columns): { places: [Field, number][]; faults: EventFault[] } {
  const places: [Field, number][] = []
  const faults: EventFault[] = []
  const limit = header.join(', ').slice(0, 200)
  for (const field of FIELDS) {
    const name = columns[field] ?? field
    const at = header.indexOf(name)
    const detail = `${name} must be a column of the header`
    if (at >= 0) places.push([field, at])
    else if (columns[field] !== undefined)
      faults.push({ pointer: `/columns/${field}`, code: 'INPUT_INVALID', detail, limit, value: name })
    else if (field === 'at') faults.push({ pointer: POINTER, code: 'INPUT_INVALID', detail, limit })
  }
  return { places, faults }
}

/**
 * Events of a CSV text (RFC 4180) with a header; columns that the map does not name are passed over. Strict: a record
 * with more or fewer fields than the header is a fault.
 */
export function readCsvEvents(text: string, columns: Columns): ReadEvents {
  const { records, faults: unread } = recordsOf(text)
  const [first, ...rest] = records
  if (!first) return { events: [], faults: unread }
  const header = first.fields.map((name) => name.trim())
  const { places, faults } = placesOf(header, columns)
  if (faults.length > 0) return { events: [], faults }
  const events = rest.map(({ fields, line }): RawEvent => {
    const where = { pointer: POINTER, line }
    if (fields.length !== header.length)
      faults.push(faultAt(where, 'record', `must have ${header.length} fields`, { value: String(fields.length) }))
    const cells = places.map(([field, at]) => [field, (fields[at] ?? '').trim()] as const)
    return { at: '', ...Object.fromEntries(cells.filter(([field, cell]) => field === 'at' || cell !== '')), ...where }
  })
  return { events, faults }
}
