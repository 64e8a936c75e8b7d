/** What a part must be, and what a shop has. */

export type AttributeValue = number | string | boolean
/** `ask` stands for a value that nobody has stated yet: no item meets it before somebody has looked. */
export type Operator = 'eq' | 'in' | 'min' | 'max' | 'range' | 'covers' | 'ask'

export interface Constraint {
  attribute: string
  op: Operator
  value: AttributeValue | readonly AttributeValue[]
  /** Upper end of `range` and `covers`. */
  to?: number
  /** `confirm`: an item beyond it is a question, not a refusal, because the real bound is not known. */
  kind: 'hard' | 'soft' | 'confirm'
  /** Never relaxed: a part that fails it is dangerous, not nearly right. */
  isSafety: boolean
  /** Where the constraint comes from: a label, a sizing result, the caller's reading. */
  origin: string
}
export interface Requirement {
  partClass: string
  constraints: readonly Constraint[]
  /** Pieces needed. */
  quantity: number
  /** Whether an adapter or a new lead may make up for another terminal. */
  adaptersAllowed: boolean
  /** Conditions of substitutes that somebody has made sure of. */
  confirmed?: readonly string[]
}
/** A range such as a sounder's supply voltage. */
export interface ValueRange {
  min: number
  max: number
}
export interface Item {
  sku: string
  partClass: string
  title: string
  /** An attribute that is not here is unknown; "none" is stated to be absent. */
  attributes: Readonly<Record<string, AttributeValue | ValueRange | 'none'>>
  stock?: number
  packQuantity?: number
  /** Price of one pack in the minor unit of the currency. */
  priceMinor?: number
  currency?: string
  /** GTIN as 14 digits. */
  gtin14?: string
  /** The maker's own number of the part, and the maker. */
  mpn?: string
  brand?: string
  /** Day of making as YYYY-MM-DD: stock ages. */
  madeOn?: string
  isDiscontinued?: boolean
  /** SKU of the shop's item that takes its place. */
  successorSku?: string
  needsInstaller?: boolean
  needsActivation?: boolean
}
