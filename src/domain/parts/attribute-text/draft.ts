import { toUnit } from '../../quantities/convert.ts'
import type { NumberRead } from './numbers.ts'
import type { Placed, Token } from './tokens.ts'
import type { Family, Question, ReadAttribute } from './types.ts'

/** An attribute before its place in the given text is known. */
export type Draft = Omit<ReadAttribute, 'span'>
export type Quantity = Extract<Token, { kind: 'quantity' }>

export interface Context {
  family: Family
  tokens: readonly Placed[]
  /** The kind of part was given and not read from the text. */
  isClassGiven: boolean
}
/** What a token says in a context; nothing where it says nothing of such a part, and so stays a word. */
export interface Said {
  attributes: Draft[]
  questions?: Question[]
}
export const NOTHING: Said = { attributes: [] }

/** Ranges outside which an amount is no attribute of a part: common practice, no source; only orders open readings. */
const PLAUSIBLE: Record<string, readonly [number, number]> = {
  nominalVoltageV: [1, 60],
  outputVoltageV: [1, 60],
  capacityAh: [0.02, 300],
  bandMHz: [1, 6000],
  heightMm: [1, 600],
}

/** A quantity in another unit, without the binary crumbs of a conversion: labels have no thirteenth digit. */
export const inMeasure = (quantity: { value: number; unit: string }, to: string): number =>
  Number(toUnit(quantity, to).toPrecision(12))

/** The readings of a number as one attribute, the plausible one first. */
export function numeric(name: string, number: NumberRead, rule: string, convert = (value: number) => value): Draft {
  const value = convert(number.value)
  if (number.other === undefined) return { name, value, rule, certainty: 'stated' }
  const other = convert(number.other)
  const [low, high] = PLAUSIBLE[name] ?? [0, Number.POSITIVE_INFINITY]
  const isOdd = (one: number) => one < low || one > high
  const candidates = isOdd(value) && !isOdd(other) ? [other, value] : [value, other]
  return { name, value: candidates[0]!, rule, certainty: 'ambiguous', candidates }
}

/** A quantity under a name: one value, a range, or a list; each in the unit of the name. */
export function measured(name: string, { form, numbers, unit, dimension }: Quantity, to: string): Draft {
  const convert = (value: number) => inMeasure({ value, unit }, to)
  if (form === 'one') return numeric(name, numbers[0]!, dimension, convert)
  const values = numbers.map(({ value }) => convert(value))
  const isOpen = numbers.some(({ other }) => other !== undefined)
  const certainty = isOpen ? ('ambiguous' as const) : ('stated' as const)
  return form === 'range'
    ? { name, range: { min: values[0]!, max: values[1]! }, rule: `${dimension}-range`, certainty }
    : { name, list: values, rule: `${dimension}-list`, certainty }
}

export const missing = (attribute: string, reason: string): Question => ({ attribute, kind: 'missing', reason })
export const ambiguous = (attribute: string, reason: string): Question => ({ attribute, kind: 'ambiguous', reason })
