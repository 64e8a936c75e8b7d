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
  /** Characters of a caller's own words. */
  textCharacters: 2000,
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
