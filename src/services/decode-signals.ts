import { type Dc09Content, decodeDc09Content } from '../domain/signals/dc09-content.ts'
import { eventsOfFrame } from '../domain/signals/dc09-events.ts'
import type { Dc09Frame } from '../domain/signals/dc09-frame.ts'
import type { LineScheme } from '../domain/signals/line-form.ts'
import { type LineReader, type LineReading, readLine } from '../domain/signals/read-line.ts'
import type { CodeTable, Decoded, SignalEvent, SignalProblem } from '../domain/signals/signal-event.ts'
import type { Release } from '../ontology/release.ts'
import { decryptSignal } from './decrypt-signal.ts'

/** What ends a line of a text. */
export const LINE_END = /\r\n|[\r\n]/

export interface SignalText {
  text: string
  scheme: LineScheme
  isStrict: boolean
  /** For encrypted frames; left out, these are named as such. */
  key?: CryptoKey
}

export interface DecodedFrame extends Omit<Dc09Frame, 'sealed' | 'crc' | 'lengthField' | 'lengthDecimal'> {
  timestamp?: string
  extended: Dc09Content['extended']
}
export interface DecodedLine {
  /** From 1, empty lines counted. */
  line: number
  events: SignalEvent[]
  frame?: DecodedFrame
  /** What was passed over. */
  problems: SignalProblem[]
  /** Why the line could not be read. */
  problem?: SignalProblem
}

/** The codes of a release's crosswalks, as the cores ask for them. */
export function codeTableOf({ ontology }: Release): CodeTable {
  const tables = new Map(
    ontology.crosswalks.map(({ scheme, codes }) => [scheme, new Map(codes.map((code) => [code.code, code]))]),
  )
  return (scheme, code) => {
    const found = tables.get(scheme)?.get(code)
    return found && { isRestoral: found.restoralOf !== undefined }
  }
}

const KEY_MISSING: SignalProblem = {
  code: 'KEY_MISSING',
  message: 'key must be given for an encrypted frame, got none',
}

interface Opened extends Pick<DecodedLine, 'events' | 'problems' | 'problem'> {
  content?: Dc09Content
}

/** The content and the events of a frame, deciphered first where that is needed. */
async function openFrame(frame: Dc09Frame, reader: LineReader, key: CryptoKey | undefined): Promise<Opened> {
  if (frame.isEncrypted && key === undefined) return { events: [], problems: [], problem: KEY_MISSING }
  const plain = frame.isEncrypted ? await decryptSignal(key!, frame.sealed) : frame.sealed
  const content = decodeDc09Content(frame, plain, reader.isStrict)
  if (!content.ok) return { events: [], problems: content.problems, problem: content.problem }
  const events = eventsOfFrame(frame, content.value, reader.table, reader.isStrict)
  const problems = [...content.problems, ...events.problems]
  if (!events.ok) return { events: [], problems, problem: events.problem, content: content.value }
  return { events: events.value, problems, content: content.value }
}

function wordFrame(frame: Dc09Frame, content: Dc09Content | undefined): DecodedFrame {
  const { sealed: _sealed, crc: _crc, lengthField: _field, lengthDecimal: _length, ...head } = frame
  const timestamp = content?.timestamp
  return { ...head, extended: content?.extended ?? [], ...(timestamp === undefined ? {} : { timestamp }) }
}

async function decodeLine(
  line: number,
  reading: Decoded<LineReading>,
  reader: LineReader,
  key: CryptoKey | undefined,
): Promise<DecodedLine> {
  if (!reading.ok) return { line, events: [], problems: reading.problems, problem: reading.problem }
  const { events, frame, at } = reading.value
  if (!frame) return { line, events, problems: reading.problems }
  const { content, events: carried, problems, problem } = await openFrame(frame, reader, key)
  return {
    line,
    // The frame's own time is the sender's; that of the log does where it sent none.
    events: carried.map((event) => (event.at === undefined && at !== undefined ? { ...event, at } : event)),
    frame: wordFrame(frame, content),
    problems: [...reading.problems, ...problems],
    ...(problem === undefined ? {} : { problem }),
  }
}

/** The account that holds after a line; a remark in the log changes nothing, a damaged signal may have named another. */
function accountAfter(reading: Decoded<LineReading>, account: string | undefined): string | undefined {
  if (reading.ok) return reading.value.account
  return reading.problem.code === 'UNRECOGNISED' ? account : undefined
}

/**
 * Decodes lines as they come; nothing of those before is kept but the account that holds. Empty lines are counted and left
 * out; a line that cannot be read says why, and the others are read all the same.
 */
export async function* decodeLines(
  release: Release,
  lines: Iterable<string> | AsyncIterable<string>,
  { scheme, isStrict, key }: Omit<SignalText, 'text'>,
): AsyncGenerator<DecodedLine> {
  const reader: LineReader = { scheme, isStrict, table: codeTableOf(release) }
  let account: string | undefined
  let number = 0
  for await (const text of lines) {
    number++
    if (/^[ \t\0]*$/.test(text)) continue
    const reading = readLine(text, account, reader)
    account = accountAfter(reading, account)
    yield await decodeLine(number, reading, reader, key)
  }
}

/** Every line of a text. */
export async function decodeSignals(release: Release, { text, ...options }: SignalText): Promise<DecodedLine[]> {
  const decoded: DecodedLine[] = []
  for await (const line of decodeLines(release, text.split(LINE_END), options)) decoded.push(line)
  return decoded
}
