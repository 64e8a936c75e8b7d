import { MOST_KEYS } from '../services/manage-keys.ts'

/** Named limits of a request, as the capabilities document states them. */
export const LIMITS = {
  bodyBytes: 1024 * 1024,
  findings: 200,
  devices: 64,
  inlineItems: 200,
  loads: 200,
  batchItems: 100,
  /** Lit marks of a display: with all that they exclude they still fit into the findings of one diagnosis. */
  litMarks: 100,
  /** Characters of a text of signals. */
  signalText: 32_768,
  /** Bytes of a log that is decoded as a stream. */
  streamBytes: 64 * 1024 * 1024,
  /** Events of a history, and series of it that are analysed. */
  historyEvents: 20_000,
  historySeries: 64,
  /** Characters of the title or label of a part. */
  partText: 400,
  /** Characters of a caller's own words. */
  textCharacters: 2000,
  /** Keys of a shop that are in force at once. */
  keysPerShop: MOST_KEYS,
  /** Bytes of one part of an import, and parts of an import. */
  importPartBytes: 10 * 1024 * 1024,
  importParts: 100,
  /** Rows of one part: each costs far more than its bytes. */
  importPartRows: 50_000,
  /** What one stored call may hold. */
  callEvents: 500,
  callAnswers: 60,
  callNotes: 50,
  noteCharacters: 500,
  /** Calls that a shop may have open at once. */
  openCalls: 10_000,
  /** Longest time for which a shop may keep its calls. */
  retentionDays: 3650,
} as const

/** Requests that one key may make; what anybody may without one is up to the host. */
export const KEY_QUOTAS = { minute: 1200, day: 100_000 } as const
