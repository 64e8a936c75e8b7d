import { type Columns, type EventFault, FIELDS, faultAt, type RawEvent, type ReadEvents } from './raw-event.ts'

const POINTER = '/ndjson'

/** The object on a line; nothing when it is none. */
function objectOf(line: string): Record<string, unknown> | undefined {
  try {
    const value: unknown = JSON.parse(line)
    return typeof value === 'object' && value !== null && !Array.isArray(value) ? { ...value } : undefined
  } catch {
    return undefined
  }
}

function eventOf(object: Record<string, unknown>, columns: Columns, line: number, faults: EventFault[]): RawEvent {
  const where = { pointer: POINTER, line }
  const event: RawEvent = { at: '', ...where }
  for (const field of FIELDS) {
    const name = columns[field] ?? field
    const value = Object.hasOwn(object, name) ? object[name] : undefined
    if (typeof value === 'string') event[field] = value.trim()
    else if (typeof value === 'number' && field !== 'at') event[field] = String(value)
    else if (value !== undefined && value !== null)
      faults.push(faultAt(where, name, 'must be a text', { value: JSON.stringify(value) }))
  }
  return event
}

/** Events of a text with one JSON object a line; blank lines are passed over, members that the map does not name too. */
export function readNdjsonEvents(text: string, columns: Columns): ReadEvents {
  const events: RawEvent[] = []
  const faults: EventFault[] = []
  text.split(/\r?\n/).forEach((content, index) => {
    if (content.trim() === '') return
    const line = index + 1
    const object = objectOf(content)
    if (object) events.push(eventOf(object, columns, line, faults))
    else faults.push(faultAt({ pointer: POINTER, line }, 'record', 'must be a JSON object', { value: content }))
  })
  return { events, faults }
}
