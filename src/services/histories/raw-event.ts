/** An event as it was sent, whatever its form was. */
export interface RawEvent {
  at: string
  condition?: string
  scheme?: string
  code?: string
  state?: string
  device?: string
  /** Where it stands: a JSON pointer, and the line within a text. */
  pointer: string
  line?: number
}

/** Names of the columns or members that hold each field. */
export type Columns = Partial<Record<Field, string>>
export const FIELDS = ['at', 'condition', 'scheme', 'code', 'state', 'device'] as const
export type Field = (typeof FIELDS)[number]

export interface EventFault {
  pointer: string
  code: 'INPUT_INVALID' | 'UNKNOWN_ID'
  detail: string
  limit?: string | number
  value?: string
}

export interface ReadEvents {
  events: RawEvent[]
  faults: EventFault[]
}

/** Faults that one refusal names. */
export const MOST_FAULTS = 50
const MOST_SHOWN = 80

/** A fault at a field of an event; inside a text it names the line. */
export function faultAt(
  { pointer, line }: Pick<RawEvent, 'pointer' | 'line'>,
  field: string,
  detail: string,
  more: Pick<EventFault, 'value' | 'limit'> & { code?: EventFault['code'] } = {},
): EventFault {
  const { code = 'INPUT_INVALID', value, ...rest } = more
  const shown = value === undefined ? {} : { value: value.slice(0, MOST_SHOWN) }
  const got = value === undefined ? '' : `, got ${value.slice(0, MOST_SHOWN)}`
  const text = `${field} ${detail}${got}`
  if (line === undefined) return { pointer: `${pointer}/${field}`, code, detail: text, ...rest, ...shown }
  return { pointer, code, detail: `line ${line}: ${text}`, ...rest, ...shown }
}
