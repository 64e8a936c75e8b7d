import type { AttributeValue } from '../types.ts'

/** How a value of the old part or the system decides over a new part. */
export const FIT_RULES = ['equal', 'at-least', 'at-most', 'covers', 'count'] as const
export type FitRule = (typeof FIT_RULES)[number]

export interface AttributeSpec {
  name: string
  role: 'safety' | 'hard' | 'preference'
  rule: FitRule
  /** Closed list of values. */
  values?: readonly string[]
  /** Words that name the whole list and none of it, such as a chemistry's family. */
  unspecific?: readonly string[]
  /** Words from least to most, where more is allowed. */
  order?: readonly string[]
  /** What every part of the kind is. */
  fixed?: AttributeValue
  /** What is better where nothing is demanded. */
  prefer?: AttributeValue
}
/** A kind of part as the core needs it. */
export interface PartSpec {
  id: string
  attributes: readonly AttributeSpec[]
}
