import type { AttributeValue, Constraint, ValueRange } from './types.ts'

export const isRange = (value: unknown): value is ValueRange =>
  typeof value === 'object' && value !== null && 'min' in value

/** What a constraint demands, in words. */
export function wording({ op, value, to }: Constraint): string {
  if (op === 'ask') return 'not stated yet'
  const values = Array.isArray(value) ? value.join(' or ') : String(value)
  if (op === 'min') return `at least ${values}`
  if (op === 'max') return `at most ${values}`
  if (op === 'range') return to === undefined ? `at least ${values}` : `${values} to ${to}`
  return op === 'covers' ? `covers ${values}${to === undefined ? '' : ` to ${to}`}` : values
}

/** An item's value in words. */
export function wordValue(value: AttributeValue | ValueRange | undefined): string {
  return isRange(value) ? `${value.min} to ${value.max}` : String(value)
}
