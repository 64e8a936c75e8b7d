import { checkDigit, DC05_DIGIT } from './dc05-check-digit.ts'
import { decode, problemOf, type Remarks, refuse } from './remarks.ts'
import type { Decoded } from './signal-event.ts'

const LENGTH = 16
/** 18 is preferred and 98 allowed; both are read alike. */
const MESSAGE_TYPES = ['18', '98']
const QUALIFIERS = '136'

export type Dc05Qualifier = '1' | '3' | '6'

/** The event of a message, whether it came over a telephone line or within a frame. */
export interface Dc05Content {
  /** 1 new event or opening, 3 restore or closing, 6 reported before and still standing. */
  qualifier: Dc05Qualifier
  eventCode: string
  group: string
  point: string
}
export interface Dc05Message extends Dc05Content {
  account: string
  messageType: string
  checksum: string
}

function checkDigits(text: string): void {
  const wrong = [...text].find((digit) => !DC05_DIGIT.test(digit))
  if (wrong !== undefined) refuse(problemOf('DIGIT', 'each digit', '0-9 or B-F', wrong))
}

function qualifierOf(digit: string): Dc05Qualifier {
  if (!QUALIFIERS.includes(digit)) refuse(problemOf('QUALIFIER', 'qualifier', '1, 3 or 6', digit))
  return digit as Dc05Qualifier
}

function withoutBlanks(text: string, remarks: Remarks): string {
  const digits = text.replaceAll(' ', '')
  if (digits !== text) remarks.tolerate(problemOf('SURROUNDINGS', 'message', 'without blanks', text))
  return digits
}

function readMessage(text: string, remarks: Remarks): Dc05Message {
  const digits = withoutBlanks(text, remarks)
  if (digits.length !== LENGTH) refuse(problemOf('LENGTH', 'message length', LENGTH, digits.length))
  checkDigits(digits)
  const due = checkDigit(digits.slice(0, -1))
  const checksum = digits.slice(-1)
  if (checksum !== due) refuse(problemOf('CHECKSUM', 'check digit', due, checksum))
  const messageType = digits.slice(4, 6)
  if (!MESSAGE_TYPES.includes(messageType))
    refuse(problemOf('MESSAGE_TYPE', 'message type', MESSAGE_TYPES.join(' or '), messageType))
  return {
    account: digits.slice(0, 4),
    messageType,
    qualifier: qualifierOf(digits[6]!),
    eventCode: digits.slice(7, 10),
    group: digits.slice(10, 12),
    point: digits.slice(12, 15),
    checksum,
  }
}

/**
 * A message of the point protocol: ACCT MT QXYZ GG CCC S, 16 digits.
 *
 * @param text - digits 0-9 and B-F; a lenient reading passes over blanks
 * @returns the fields, or the first of LENGTH, DIGIT, CHECKSUM, MESSAGE_TYPE and QUALIFIER that is wrong
 * @validity a code that no table has is no fault of the message
 * @source dc-05 1999.09, in part from memory
 * @example decodeDc05Message('1234181131010158', true) // account 1234, event 131, group 01, point 015
 */
export function decodeDc05Message(text: string, isStrict: boolean): Decoded<Dc05Message> {
  return decode(isStrict, (remarks) => readMessage(text, remarks))
}

/** The form within a DC-09 frame: QXYZ GG CCC, single blanks, neither message type nor check digit. */
export function readDc05Content(text: string, remarks: Remarks): Dc05Content {
  const parts = text.split(/ +/).filter((part) => part !== '')
  if (parts.join(' ') !== text) remarks.tolerate(problemOf('SURROUNDINGS', 'blanks between fields', 'single', text))
  const [event = '', group = '', point = '', ...rest] = parts
  if (event.length !== 4 || group.length !== 2 || point.length !== 3 || rest.length > 0)
    refuse(problemOf('DATA', 'event', 'QXYZ GG CCC', text))
  checkDigits(event + group + point)
  return { qualifier: qualifierOf(event[0]!), eventCode: event.slice(1), group, point }
}
