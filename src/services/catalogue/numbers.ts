export type DecimalMark = '.' | ','

/** A number that was read, the two that it may mean, or nothing. */
export type NumberRead = { number: number } | { either: [string, string] } | undefined

const grouped = (group: string, mark: string) => new RegExp(`^-?\\d{1,3}(?:\\${group}\\d{3})+(?:\\${mark}\\d+)?$`)
const FORMS: Record<DecimalMark, { plain: RegExp; grouped: RegExp; group: string }> = {
  '.': { plain: /^-?\d+(?:\.\d+)?(?:e[+-]?\d+)?$/i, grouped: grouped(',', '.'), group: ',' },
  ',': { plain: /^-?\d+(?:,\d+)?$/, grouped: grouped('.', ','), group: '.' },
}
/** One separator with three digits behind it: thousands in one country, decimals in another. Never guessed. */
const AMBIGUOUS = /^-?[1-9]\d{0,2}[.,]\d{3}$/

function withMark(text: string, mark: DecimalMark): NumberRead {
  const { plain, grouped: inGroups, group } = FORMS[mark]
  if (!plain.test(text) && !inGroups.test(text)) return undefined
  return { number: Number(text.replaceAll(group, '').replace(',', '.')) }
}

/**
 * A number as people write it. With a stated decimal mark it is read by that; without one, "7.2" and "7,2" are decimals,
 * "1.299,50" has only one meaning, and "1,299" has two.
 */
export function readNumber(text: string, mark?: DecimalMark): NumberRead {
  if (mark !== undefined) return withMark(text, mark)
  if (AMBIGUOUS.test(text)) return { either: [text.replace(/[.,]/, ''), text.replace(',', '.')] }
  return withMark(text, '.') ?? withMark(text, ',')
}
