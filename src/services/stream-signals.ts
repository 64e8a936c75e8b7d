import { wordEvent } from './answer-signals.ts'
import { decodeLines, LINE_END, type SignalText } from './decode-signals.ts'
import type { Wording } from './texts.ts'

/** Longest line of a stream [characters], longer than any frame; what is beyond it is cut off and not read. */
const LONGEST_LINE = 32_768

/** Lines of text that comes in pieces; memory holds one line. */
export async function* linesOf(pieces: AsyncIterable<string>): AsyncGenerator<string> {
  let rest = ''
  for await (const piece of pieces) {
    // A carriage return at the end of a piece may belong to a line feed that opens the next.
    const held = piece.endsWith('\r') ? '\r' : ''
    const lines = (rest + piece.slice(0, piece.length - held.length)).split(LINE_END)
    rest = lines.pop()!.slice(0, LONGEST_LINE) + held
    yield* lines.map((line) => line.slice(0, LONGEST_LINE))
  }
  if (rest !== '') yield rest.replace(/\r$/, '')
}

/** Each line of a log that is not empty, decoded as it comes and with the names of its codes. */
export async function* streamSignals(
  wording: Wording,
  pieces: AsyncIterable<string>,
  options: Omit<SignalText, 'text'>,
) {
  for await (const line of decodeLines(wording.release, linesOf(pieces), options))
    yield { ...line, events: line.events.map((event) => wordEvent(wording, event)) }
}
