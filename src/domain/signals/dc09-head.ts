import { problemOf, type Remarks, refuse } from './remarks.ts'

/** Bytes of a block of the cipher. */
export const CIPHER_BLOCK = 16

/** Frames that carry no event. */
export const WITHOUT_EVENT = ['NULL', 'ACK', 'NAK', 'DUH', 'RSP']
/** Frames that carry an event, with what its data is. */
export const EVENT_TOKENS = { 'SIA-DCS': 'dc-03', 'ADM-CID': 'dc-05' } as const

const TOKEN = /^"(\*?)([A-Z0-9-]{1,16})"/
const SEQUENCE = /^\d{4}/
const RECEIVER = /^R([0-9A-Fa-f]{1,6})/
const LINE_PREFIX = /^L([0-9A-Fa-f]{0,6})/
/** NAK has A0 in the place of an account. */
const ACCOUNT = /^(?:#([0-9A-Fa-f]{3,16})|A0)/
const OPENING = /^\[/

export interface Dc09Head {
  token: string
  isEncrypted: boolean
  sequence: string
  receiver?: string
  linePrefix?: string
  account?: string
  /** What follows the opening bracket, one character a byte. */
  after: string
}

/** Takes one field after another from the front of a text. */
class Cursor {
  rest: string

  constructor(text: string) {
    this.rest = text
  }

  /** What the pattern finds at the front, which is then passed. */
  take(pattern: RegExp): RegExpExecArray | undefined {
    const found = pattern.exec(this.rest) ?? undefined
    if (found) this.rest = this.rest.slice(found[0].length)
    return found
  }

  require(pattern: RegExp, field: string, form: string): RegExpExecArray {
    return this.take(pattern) ?? refuse(problemOf('HEADER', field, form, this.rest.slice(0, 20)))
  }
}

function readLinePrefix(cursor: Cursor, remarks: Remarks): string | undefined {
  const digits = cursor.take(LINE_PREFIX)?.[1]
  if (!digits) remarks.tolerate(problemOf('LINE_PREFIX', 'line prefix', 'L with 1 to 6 digits', digits ?? 'no L'))
  return digits || undefined
}

function checkSequence(sequence: string, token: string, remarks: Remarks): void {
  if (sequence === '0000' && token in EVENT_TOKENS)
    remarks.note(problemOf('SEQUENCE', 'sequence of an event', '0001 to 9999', sequence))
}

/** Fields from the first quote to the opening bracket. @throws the refusal HEADER */
export function readHead(body: string, remarks: Remarks): Dc09Head {
  const cursor = new Cursor(body)
  const [, star, token] = cursor.require(TOKEN, 'id', 'a quoted name') as unknown as [string, string, string]
  const [sequence] = cursor.require(SEQUENCE, 'sequence', 'four digits')
  checkSequence(sequence, token, remarks)
  const receiver = cursor.take(RECEIVER)?.[1]
  if (receiver === undefined) remarks.note(problemOf('RECEIVER_MISSING', 'receiver', 'R with 1 to 6 digits', 'no R'))
  const linePrefix = readLinePrefix(cursor, remarks)
  const account = cursor.take(ACCOUNT)?.[1]
  cursor.require(OPENING, 'account and data', '# with 3 to 16 digits, then [')
  return {
    token,
    isEncrypted: star === '*',
    sequence,
    ...(receiver === undefined ? {} : { receiver }),
    ...(linePrefix === undefined ? {} : { linePrefix }),
    ...(account === undefined ? {} : { account }),
    after: cursor.rest,
  }
}

/** Bytes of the cipher text, sent as hexadecimal digits. @throws the refusal CIPHER */
export function readCipher(digits: string): Uint8Array {
  const isWhole = digits.length > 0 && digits.length % (2 * CIPHER_BLOCK) === 0
  if (!isWhole || !/^[0-9A-Fa-f]*$/.test(digits))
    refuse(problemOf('CIPHER', 'cipher text', `hexadecimal digits of whole blocks of ${CIPHER_BLOCK} bytes`, digits))
  return Uint8Array.from({ length: digits.length / 2 }, (_, at) =>
    Number.parseInt(digits.slice(2 * at, 2 * at + 2), 16),
  )
}
