import type { AddressKind } from './address-kind.ts'

/** Standards whose codes an event can carry; DC-09 carries either. */
export type SignalScheme = 'dc-05' | 'dc-03'

/** Closed list of what can be wrong with a signal. */
export type SignalProblemCode =
  | 'ACCOUNT_MISMATCH'
  | 'ACCOUNT_MISSING'
  | 'CHECKSUM'
  | 'CIPHER'
  | 'CONTENT'
  | 'CRC'
  | 'CRC_BINARY'
  | 'DATA'
  | 'DECRYPTION'
  | 'DIGIT'
  | 'EXTENDED'
  | 'FORMAT'
  | 'FUNCTION'
  | 'HEADER'
  | 'KEY_MISSING'
  | 'LENGTH'
  | 'LINE_PREFIX'
  | 'LISTEN_IN'
  | 'MESSAGE_TYPE'
  | 'PAD'
  | 'PARITY'
  | 'QUALIFIER'
  | 'RECEIVER_MISSING'
  | 'SEQUENCE'
  | 'SURROUNDINGS'
  | 'TIMESTAMP'
  | 'TIME_WITHOUT_ZONE'
  | 'TOKEN'
  | 'UNKNOWN_CODE'
  | 'UNRECOGNISED'

export interface SignalProblem {
  code: SignalProblemCode
  message: string
  limit?: string | number
  value?: string | number
}

/** One event, from whichever format it came. */
export interface SignalEvent {
  scheme: SignalScheme
  code: string
  /** "restore" is also a closing: in the 4xx codes of DC-05 the event is the opening and the restore the closing. */
  kind: 'event' | 'restore'
  /** Reported before and still standing: qualifier 6 of DC-05, old event of DC-03. */
  isRepeated?: true
  account?: string
  /** Area, group or partition; left out for 0, which stands for none. */
  area?: string
  /** What the digits after the code count; left out for 0, which stands for none. */
  address?: { of: AddressKind; number: string }
  /** Moment in UTC, or with its offset (ISO 8601). */
  at?: string
  /** Time of day as the sender's clock had it; of which zone is not said. */
  time?: string
  /** Date as the sender's clock had it. */
  date?: string
  text?: string
  /** Heading of the block that a code stands in which no table has. */
  block?: string
  problems: SignalProblem[]
}

/** What the tables say of a code: undefined for a code they do not have. */
export type CodeTable = (scheme: SignalScheme, code: string) => { isRestoral: boolean } | undefined

/** A result, or why there is none; what was passed over stands beside the result. */
export type Decoded<T> =
  | { ok: true; value: T; problems: SignalProblem[] }
  | { ok: false; problem: SignalProblem; problems: SignalProblem[] }
