/** What a caller says that the lines are; "mixed" leaves it to each line. */
export const LINE_SCHEMES = ['dc-05', 'dc-03', 'dc-09', 'mixed'] as const
export type LineScheme = (typeof LINE_SCHEMES)[number]

/** How a line spells a signal. */
export type LineForm = 'dc-05-message' | 'dc-05-content' | 'dc-03-bytes' | 'dc-03-text' | 'dc-09-frame'

const BYTES = /^[0-9A-Fa-f]{2}(?: [0-9A-Fa-f]{2})+$/
const UNPARTED_BYTES = /^(?:[0-9A-Fa-f]{2}){3,66}$/
const DC05_CONTENT = /^\d[0-9A-Fa-f]{3} +[0-9A-Fa-f]{2} +[0-9A-Fa-f]{3}$/
/** Sixteen digits with at most one blank between two of them, or about as many; what is wrong with them is said later. */
const DC05_MESSAGE = /^[0-9A-Fa-f](?: ?[0-9A-Fa-f]){11,19}$/
/** A function, then a modifier or a code; a word that begins alike is none. */
const DC03_TEXT = /^[NO](?:(?:ti|da|id|ri|pi|gi|pt|lv|va|ai|ph)[^a-z]|[A-Z]{2}(?:[\d/|]|$)|L\d)/

/** Data with an account in front, in brackets or not: `[#1234|...]`. */
const WITH_ACCOUNT = /^\[?#([0-9A-Fa-f]{3,16})\|([^\]]*)\]?$/

/** Account and data of a line that has been taken out of its frame. */
export function unframed(line: string): { account?: string; body: string } {
  const [, account, body] = WITH_ACCOUNT.exec(line) ?? []
  return account === undefined || body === undefined ? { body: line } : { account, body }
}

function formOfAny(line: string): LineForm | undefined {
  const { body } = unframed(line)
  if (line.includes('"')) return 'dc-09-frame'
  if (DC05_CONTENT.test(body)) return 'dc-05-content'
  if (BYTES.test(line)) return 'dc-03-bytes'
  if (DC05_MESSAGE.test(line)) return 'dc-05-message'
  return DC03_TEXT.test(body) ? 'dc-03-text' : undefined
}

/**
 * How a line is to be read.
 *
 * @param line - without blanks around it
 * @returns undefined for a line that is no signal, such as a remark in a log
 * @validity bytes must stand in pairs parted by blanks unless the caller says that they are DC-03: sixteen digits in a row
 *   are a message of DC-05
 * @source judgement
 * @example formOf('1234181131010158', 'mixed') // 'dc-05-message'
 */
export function formOf(line: string, scheme: LineScheme): LineForm | undefined {
  if (scheme === 'dc-09') return 'dc-09-frame'
  if (scheme === 'dc-05') return DC05_CONTENT.test(unframed(line).body) ? 'dc-05-content' : 'dc-05-message'
  if (scheme === 'dc-03') return BYTES.test(line) || UNPARTED_BYTES.test(line) ? 'dc-03-bytes' : 'dc-03-text'
  return formOfAny(line)
}
