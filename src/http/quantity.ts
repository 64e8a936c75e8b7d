import { DomainError } from '../domain/errors.ts'
import { atPointer } from '../domain/quantities/at-pointer.ts'
import { toUnit } from '../domain/quantities/convert.ts'
import { refuseTogether } from '../domain/quantities/within.ts'
import type { Quantity } from './schema.ts'

/** Quantities of a body as numbers in the unit that a core wants; a refusal points at the field. */
export interface QuantityReader {
  required(quantity: Quantity, unit: string, pointer: string): number
  /** A field named for the core, or nothing when the quantity was not sent. */
  optional<Name extends string>(
    name: Name,
    quantity: Quantity | undefined,
    unit: string,
    pointer: string,
  ): Partial<Record<Name, number>>
}

function readerBy(required: QuantityReader['required']): QuantityReader {
  return {
    required,
    optional: (name, quantity, unit, pointer) =>
      (quantity === undefined ? {} : { [name]: required(quantity, unit, pointer) }) as never,
  }
}

/** Refuses at the first unit that does not do. */
export const quantityReader = readerBy((quantity, unit, pointer) => atPointer(pointer, () => toUnit(quantity, unit)))

/**
 * What `read` makes of a body, with every unit that does not do refused in one answer.
 * @throws DomainError the first refusal, with the others in `also`
 */
export function readTogether<T>(read: (reader: QuantityReader) => T): T {
  const refusals: DomainError[] = []
  const noted = (check: () => number): number => {
    try {
      return check()
    } catch (error) {
      if (!(error instanceof DomainError)) throw error
      refusals.push(error)
      return Number.NaN
    }
  }
  const reader = readerBy((quantity, unit, pointer) => noted(() => quantityReader.required(quantity, unit, pointer)))
  const refuse = () =>
    refuseTogether(
      refusals.map((refusal) => () => {
        throw refusal
      }),
    )
  let result: T
  try {
    result = read(reader)
  } catch (error) {
    refuse()
    throw error
  }
  refuse()
  return result
}
