import { toUnit } from '../domain/quantities/convert.ts'
import { atPointer } from './at-pointer.ts'
import type { Quantity } from './schema.ts'

const required = (quantity: Quantity, unit: string, pointer: string): number =>
  atPointer(pointer, () => toUnit(quantity, unit))

/** A field named for the core, or nothing when the quantity was not sent. */
function optional<Name extends string>(
  name: Name,
  quantity: Quantity | undefined,
  unit: string,
  pointer: string,
): Partial<Record<Name, number>> {
  return quantity === undefined ? {} : ({ [name]: required(quantity, unit, pointer) } as Record<Name, number>)
}

/** Quantities of a body as numbers in the unit a core wants; a refusal points at the field. */
export const quantityReader = { required, optional }
