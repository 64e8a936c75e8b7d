import { readDc03Blocks } from './dc03-block.ts'
import { decodeDc05Message, readDc05Content } from './dc05.ts'
import { blocksOf } from './dc09-events.ts'
import { type Dc09Frame, decodeDc09Frame } from './dc09-frame.ts'
import { eventOfDc05, eventsOfDc03, type Surroundings } from './events-of.ts'
import { formOf, type LineScheme, unframed } from './line-form.ts'
import { readStamp } from './line-time.ts'
import { decode, problemOf, type Remarks, refuse } from './remarks.ts'
import type { CodeTable, Decoded, SignalEvent } from './signal-event.ts'
import { windows1252Bytes } from './windows-1252.ts'

export interface LineReader {
  scheme: LineScheme
  isStrict: boolean
  table: CodeTable
}

/** What a line holds: events, or a frame that must be opened first. */
export interface LineReading {
  events: SignalEvent[]
  frame?: Dc09Frame
  /** Account that holds for the lines after this one: blocks of DC-03 name it once. */
  account?: string
  /** Moment that the log gives the line. */
  at?: string
}

/**
 * Bytes of a frame that has come as text: of the code page that such senders use, or of UTF-8 where its CRC says so.
 * The CRC counts bytes, so a frame that was decoded on its way must be taken back to them first.
 */
function frameOf(line: string, isStrict: boolean): Decoded<Dc09Frame> {
  const inCodePage = windows1252Bytes(line)
  const inUtf8 = new TextEncoder().encode(line)
  const first = decodeDc09Frame(inCodePage ?? inUtf8, isStrict)
  if (first.ok || inCodePage === undefined) return first
  const second = decodeDc09Frame(inUtf8, isStrict)
  return second.ok ? second : first
}

/** Goes on with the result of another reading, or ends this one as that ended. */
function opened<T>(result: Decoded<T>, remarks: Remarks): T {
  for (const problem of result.problems) remarks.note(problem)
  return result.ok ? result.value : refuse(result.problem)
}

const bytesOfHex = (line: string) =>
  Uint8Array.from(line.match(/[0-9A-Fa-f]{2}/g) ?? [], (pair) => Number.parseInt(pair, 16))

function readDc03(line: string, isBytes: boolean, around: Surroundings, remarks: Remarks): LineReading {
  if (isBytes) return eventsOfDc03(readDc03Blocks(bytesOfHex(line), remarks), around, remarks)
  const { account, body } = unframed(line)
  const place = account === undefined ? around : { ...around, account }
  return { events: eventsOfDc03(blocksOf(body), place, remarks).events }
}

function readForm(line: string, reader: LineReader, around: Surroundings, remarks: Remarks): LineReading {
  const form = formOf(line, reader.scheme)
  if (form === 'dc-09-frame') return { events: [], frame: opened(frameOf(line, reader.isStrict), remarks) }
  if (form === 'dc-05-message') {
    const message = opened(decodeDc05Message(line, reader.isStrict), remarks)
    return { events: [eventOfDc05(message, { ...around, account: message.account })] }
  }
  if (form === 'dc-05-content') {
    const { account, body } = unframed(line)
    return { events: [eventOfDc05(readDc05Content(body, remarks), { ...around, account })] }
  }
  if (form === undefined) refuse(problemOf('UNRECOGNISED', 'line', 'a signal of DC-05, DC-03 or DC-09', line))
  return readDc03(line, form === 'dc-03-bytes', around, remarks)
}

/**
 * One line of a log: a signal of any of the standards, with or without a time in front.
 *
 * @param text - the line without its end
 * @param account - account that an earlier block of DC-03 named
 * @returns its events or its frame, or why it cannot be read
 * @validity blanks around are passed over by a lenient reading
 * @source dc-05, dc-03, dc-09
 * @example readLine('1234181301000006', undefined, { scheme: 'mixed', isStrict: true, table: () => undefined })
 */
export function readLine(text: string, account: string | undefined, reader: LineReader): Decoded<LineReading> {
  return decode(reader.isStrict, (remarks) => {
    const bare = trimmed(text)
    if (bare !== text) remarks.tolerate(problemOf('SURROUNDINGS', 'line', 'without blanks and NUL around it', text))
    const { at, rest } = reader.scheme === 'mixed' ? readStamp(bare, remarks) : { rest: bare }
    const reading = readForm(rest, reader, { table: reader.table, account, at }, remarks)
    return { ...reading, ...(at === undefined ? {} : { at }) }
  })
}

/** Without blanks and NUL at both ends, in time linear in its length. */
function trimmed(text: string): string {
  const isBlank = (at: number) => ' \t\0'.includes(text[at]!)
  let start = 0
  let end = text.length
  while (start < end && isBlank(start)) start++
  while (end > start && isBlank(end - 1)) end--
  return text.slice(start, end)
}
