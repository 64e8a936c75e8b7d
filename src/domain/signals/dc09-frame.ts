import { crc16Arc } from './crc16-arc.ts'
import { type Dc09Head, readCipher, readHead } from './dc09-head.ts'
import { decode, problemOf, type Remarks, refuse } from './remarks.ts'
import type { Decoded } from './signal-event.ts'
import { binaryBytes, binaryText } from './windows-1252.ts'

/** A frame up to its opening bracket; what follows may be enciphered. */
export interface Dc09Frame extends Omit<Dc09Head, 'after'> {
  /** Four hexadecimal digits. */
  crc: string
  /** Four hexadecimal digits as sent. */
  lengthField: string
  /** Bytes from the first quote to the one before the carriage return. */
  lengthDecimal: number
  /** Bytes after the opening bracket: deciphered they are what `decodeDc09Content` reads. */
  sealed: Uint8Array
}

/** Digits of the CRC and of the length before the quote, or the CRC as two bytes and the digits of the length. */
const HEX_PREFIX = 8
const BINARY_PREFIX = 6
const HEX4 = /^[0-9A-Fa-f]{4}$/

const hex4 = (number: number) => number.toString(16).toUpperCase().padStart(4, '0')

/** What stands before the first quote, without the line feed and blanks; a CRC sent as bytes may itself look like them. */
function stripFront(front: string): string {
  let start = 0
  while (front.length - start > HEX_PREFIX && ' \t\0\n'.includes(front[start]!)) start++
  const isFedBinary = front.length === BINARY_PREFIX + 1 && front[0] === '\n'
  return front.slice(isFedBinary ? 1 : start)
}

/** The frame without its line feed, carriage return, and what a careless sender puts around them. */
function strip(text: string, remarks: Remarks): string {
  const quote = Math.max(text.indexOf('"'), 0)
  const front = stripFront(text.slice(0, quote))
  const [back = '', after = ''] = text.slice(quote).split(/\r([\s\S]*)/, 2)
  const bare = withoutTail(back)
  if (withoutTail(after) !== '') refuse(problemOf('FORMAT', 'bytes after the carriage return', 'none', after))
  const isFed = text.startsWith('\n')
  const isBare = front.length + (isFed ? 1 : 0) >= quote && bare === back && (after === '' || after === '\n')
  if (!isBare) remarks.tolerate(problemOf('SURROUNDINGS', 'frame', 'without blanks and NUL around it', text))
  return front + bare
}

/** From the end inwards, since a pattern that looks for a tail is slow on long runs of blanks. */
function withoutTail(text: string): string {
  let end = text.length
  while (end > 0 && ' \t\0\r\n'.includes(text[end - 1]!)) end--
  return text.slice(0, end)
}

interface Prefix {
  crc: string
  lengthField: string
  body: string
}

function readPrefix(frame: string, remarks: Remarks): Prefix {
  const quote = frame.indexOf('"')
  if (quote !== HEX_PREFIX && quote !== BINARY_PREFIX)
    refuse(problemOf('FORMAT', 'place of the first quote', `after ${HEX_PREFIX} digits`, quote))
  const sent = frame.slice(0, quote - 4)
  const isBinary = quote === BINARY_PREFIX
  const crc = isBinary ? hex4(sent.charCodeAt(0) * 256 + sent.charCodeAt(1)) : sent.toUpperCase()
  if (!HEX4.test(crc)) refuse(problemOf('CRC', 'CRC', 'four hexadecimal digits', sent))
  if (isBinary) remarks.tolerate(problemOf('CRC_BINARY', 'CRC', 'four hexadecimal digits', 'two bytes'))
  return { crc, lengthField: frame.slice(quote - 4, quote), body: frame.slice(quote) }
}

function checkPrefix({ crc, lengthField, body }: Prefix, remarks: Remarks): void {
  const due = hex4(crc16Arc(binaryBytes(body)))
  if (crc !== due) refuse(problemOf('CRC', 'CRC', due, crc))
  const dueLength = hex4(body.length)
  if (lengthField.toUpperCase() !== dueLength) remarks.tolerate(problemOf('LENGTH', 'length', dueLength, lengthField))
}

function readFrame(bytes: Uint8Array, remarks: Remarks): Dc09Frame {
  const prefix = readPrefix(strip(binaryText(bytes), remarks), remarks)
  checkPrefix(prefix, remarks)
  const { after, ...head } = readHead(prefix.body, remarks)
  return {
    crc: prefix.crc,
    lengthField: prefix.lengthField,
    lengthDecimal: prefix.body.length,
    ...head,
    sealed: head.isEncrypted ? readCipher(after) : binaryBytes(after),
  }
}

/**
 * A frame of event reporting over IP: LF CRC 0LLL "id" sequence R L # [ ... CR.
 *
 * @param bytes - one frame, with or without its LF and CR
 * @returns its head and the bytes after the opening bracket, or the first fault: FORMAT, CRC, LENGTH, HEADER, CIPHER
 * @validity a lenient reading passes over a wrong length under a right CRC, a line prefix without digits, a CRC sent as
 *   two bytes, blanks and NUL around; a wrong CRC is refused by both
 * @source dc-09 2013 and 2007 (read in part, in drafts); frames of two public libraries
 * @example decodeDc09Frame(bytes, true)
 */
export function decodeDc09Frame(bytes: Uint8Array, isStrict: boolean): Decoded<Dc09Frame> {
  return decode(isStrict, (remarks) => readFrame(bytes, remarks))
}
