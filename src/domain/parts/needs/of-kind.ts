import type { Constraint } from '../types.ts'
import type { AttributeSpec } from './spec.ts'

/** Where a demand of the kind itself comes from. */
export const OF_THE_KIND = 'the kind of part'

/** What every part of a kind is: closed lists of words and values that never differ. */
export function demandsOfKind(attribute: AttributeSpec, closed: ReadonlySet<string> | undefined): Constraint[] {
  const { name, role, fixed, values, unspecific = [] } = attribute
  const of = { attribute: name, kind: 'hard' as const, isSafety: role === 'safety', origin: OF_THE_KIND }
  if (fixed !== undefined) return [{ ...of, op: 'eq', value: fixed }]
  const isClosed = role === 'safety' || closed?.has(name)
  return isClosed && values ? [{ ...of, op: 'in', value: [...values, ...unspecific] }] : []
}

/** Whether the kind alone says what the part must be: one value, or a list that a family's name covers as a whole. */
export const isSettledByKind = ({ fixed, values, unspecific, role }: AttributeSpec) =>
  fixed !== undefined || (role === 'safety' && (unspecific !== undefined || values?.length === 1))

const PREFERRED = { equal: 'eq', 'at-least': 'min', 'at-most': 'max', covers: 'covers', count: 'eq' } as const

/** What is better, where nothing is demanded. */
export function preference({ name, role, rule, prefer }: AttributeSpec): Constraint[] {
  if (role !== 'preference' || prefer === undefined) return []
  const origin = 'better where it is to be had'
  return [{ attribute: name, op: PREFERRED[rule], value: prefer, kind: 'soft', isSafety: false, origin }]
}

/** What decides and nobody has stated: no item meets it unseen. */
export const unstated = ({ name, role }: AttributeSpec): Constraint => ({
  attribute: name,
  op: 'ask',
  value: 'not stated yet',
  kind: 'confirm',
  isSafety: role === 'safety',
  origin: 'nobody has stated it',
})
