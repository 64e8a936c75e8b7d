/** What the text of a part says, attribute by attribute, with the place and the rule of each reading. */

export type ReadValue = number | string | boolean
export type Certainty =
  /** The text says it. */
  | 'stated'
  /** It follows from what the text says, by the rule named. */
  | 'derived'
  /** The text may mean several things; the value is the first candidate, if there is any, and needs a person. */
  | 'ambiguous'

/** Place in the text given: UTF-16 units, the end not included. Two spans are the same or do not touch. */
export interface Span {
  start: number
  end: number
}
export interface ReadAttribute {
  /** Name as in the part classes; the unit is in the name. */
  name: string
  /** One of value, range and list. */
  value?: ReadValue
  range?: { min: number; max: number }
  list?: readonly (number | string)[]
  span: Span
  rule: string
  certainty: Certainty
  candidates?: readonly ReadValue[]
}
export interface Question {
  attribute: string
  /** missing: the part cannot be judged without it; hazard: mistaking it can hurt someone. */
  kind: 'ambiguous' | 'missing' | 'hazard'
  reason: string
  candidates?: readonly ReadValue[]
}
export interface ReadText {
  /** Kind of part that the reading went by; given, or told by the text itself. */
  family: Family
  attributes: ReadAttribute[]
  questions: Question[]
  /** Words that no rule took: for a search by text. */
  residue: string[]
}
export interface ReadOptions {
  /** Id of a part class: decides what single letters mean. */
  partClass?: string
  /** The decimal mark where the text was written; without it 1,200 and 2.200 stay open. */
  decimalMark?: '.' | ','
}

export type Family =
  | 'lead-acid'
  | 'cell'
  | 'battery'
  | 'battery-lead'
  | 'box'
  | 'transformer'
  | 'dc-supply'
  | 'supply'
  | 'resistor'
  | 'sounder'
  | 'fuse'
  | 'cable'
  | 'cord'
  | 'contact'
  | 'detector'
  | 'radio'
  | 'unknown'
