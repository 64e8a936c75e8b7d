import type { Dc09Frame } from './dc09-frame.ts'
import { CIPHER_BLOCK, EVENT_TOKENS, WITHOUT_EVENT } from './dc09-head.ts'
import { momentOf } from './dc09-time.ts'
import { decode, problemOf, type Remarks, refuse } from './remarks.ts'
import type { Decoded } from './signal-event.ts'
import { binaryText, windows1252Text } from './windows-1252.ts'

/** A block of extended data: its letter says what it is, such as M for a network card's address. */
export interface ExtendedData {
  letter: string
  text: string
}
export interface Dc09Content {
  /** What stood between the brackets, without the pad; empty for a link test. */
  data: string
  extended: ExtendedData[]
  /** ISO 8601 in UTC. */
  timestamp?: string
  /** Account as the data repeats it. */
  account?: string
  /** The data after the account and its bar, one character a byte. */
  body: string
}

const EXTENDED = /^\[([^[\]]*)\]/
const DATA_ACCOUNT = /^#([0-9A-Fa-f]{3,16})(?:\||$)/

const carriesEvent = ({ token }: Dc09Frame) => token in EVENT_TOKENS

/** Data without the pad in front of it, which ends at the first bar. */
function withoutPad(data: string, frame: Dc09Frame, remarks: Remarks): string {
  const bar = data.indexOf('|')
  if (bar < 0 && WITHOUT_EVENT.includes(frame.token)) {
    remarks.tolerate(problemOf('PAD', 'pad', 'ended by a bar', 'no bar'))
    return ''
  }
  if (bar < 1 || bar > CIPHER_BLOCK)
    refuse(problemOf('DECRYPTION', 'pad', `1 to ${CIPHER_BLOCK} bytes and a bar; does the key fit?`, `${bar}`))
  return data.slice(bar + 1)
}

function splitData(text: string, frame: Dc09Frame, remarks: Remarks): { data: string; rest: string } {
  const close = text.indexOf(']')
  if (close < 0) refuse(problemOf(frame.isEncrypted ? 'DECRYPTION' : 'CONTENT', 'data', 'ended by ]', 'no ]'))
  const inside = text.slice(0, close)
  return { data: frame.isEncrypted ? withoutPad(inside, frame, remarks) : inside, rest: text.slice(close + 1) }
}

function readExtended(text: string, remarks: Remarks): { extended: ExtendedData[]; rest: string } {
  const extended: ExtendedData[] = []
  let rest = text
  for (let found = EXTENDED.exec(rest); found; found = EXTENDED.exec(rest)) {
    const inside = found[1]!
    if (/^[A-Z]/.test(inside)) extended.push({ letter: inside[0]!, text: windows1252Text(inside.slice(1)) })
    else remarks.tolerate(problemOf('EXTENDED', 'extended data', 'a capital letter and a text', inside))
    rest = rest.slice(found[0].length)
  }
  return { extended, rest }
}

function readTimestamp(rest: string, { isEncrypted }: Dc09Frame, remarks: Remarks): Pick<Dc09Content, 'timestamp'> {
  if (rest === '') {
    if (isEncrypted) remarks.tolerate(problemOf('TIMESTAMP', 'timestamp of an encrypted frame', 'there', ''))
    return {}
  }
  if (!rest.startsWith('_'))
    refuse(problemOf(isEncrypted ? 'DECRYPTION' : 'CONTENT', 'bytes after the data', '[...] or _ and a time', rest))
  const timestamp = momentOf(rest.slice(1))
  if (timestamp !== undefined) return { timestamp }
  remarks.tolerate(problemOf('TIMESTAMP', 'timestamp', 'HH:MM:SS,MM-DD-YYYY that exists', rest.slice(1)))
  return {}
}

/** The account in front of the data, held against that of the frame. */
function readAccount(data: string, frame: Dc09Frame, remarks: Remarks): Pick<Dc09Content, 'account' | 'body'> {
  const found = DATA_ACCOUNT.exec(data)
  const account = found?.[1]
  if (frame.account === undefined && carriesEvent(frame)) {
    if (account === undefined) refuse(problemOf('ACCOUNT_MISSING', 'account', 'in the frame or in its data', 'none'))
    remarks.tolerate(problemOf('ACCOUNT_MISSING', 'account', 'before the data too', 'in the data alone'))
  }
  if (account !== undefined && frame.account !== undefined && account !== frame.account)
    remarks.note(problemOf('ACCOUNT_MISMATCH', 'account of the data', frame.account, account))
  const body = found ? data.slice(found[0].length) : data.replace(/^\|/, '')
  return { body, ...(account === undefined ? {} : { account }) }
}

function readContent(frame: Dc09Frame, bytes: Uint8Array, remarks: Remarks): Dc09Content {
  const { data, rest: afterData } = splitData(binaryText(bytes), frame, remarks)
  const { extended, rest } = readExtended(afterData, remarks)
  const time = readTimestamp(rest, frame, remarks)
  return { data: windows1252Text(data), extended, ...time, ...readAccount(data, frame, remarks) }
}

/**
 * What stands after the opening bracket of a frame: data, extended data, timestamp; of an encrypted frame also the pad.
 *
 * @param frame - the head it belongs to
 * @param bytes - as sent, or already deciphered
 * @returns the parts, or the first fault: CONTENT, DECRYPTION (a key that does not fit), ACCOUNT_MISSING, TIMESTAMP
 * @validity a lenient reading passes over a missing bar in a link test, an account in the data alone, and a timestamp that
 *   is no moment or is missing from an encrypted frame
 * @source dc-09 2013, 5.4.4 and 5.5.2; extended data after the 2021 edition, as one public library has it
 * @example decodeDc09Content(frame, frame.sealed, true)
 */
export function decodeDc09Content(frame: Dc09Frame, bytes: Uint8Array, isStrict: boolean): Decoded<Dc09Content> {
  return decode(isStrict, (remarks) => readContent(frame, bytes, remarks))
}
