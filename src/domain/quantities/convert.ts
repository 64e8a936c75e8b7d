import { DomainError } from '../errors.ts'
import { findUnit, UNITS, type Unit } from './units.ts'

export interface Quantity {
  value: number
  unit: string
}

function knownUnit(spelling: string): Unit {
  const found = findUnit(spelling)
  if (found) return found
  const limit = UNITS.flatMap(({ spellings }) => spellings).join(' ')
  throw new DomainError('UNKNOWN_UNIT', `unit must be one of ${limit}, got ${spelling.slice(0, 20)}`, {
    path: '/unit',
    limit,
    value: spelling.slice(0, 20),
  })
}

/**
 * A quantity's value in another unit of the same dimension.
 *
 * target = ((value * factor + offset) - targetOffset) / targetFactor
 *
 * @throws DomainError UNKNOWN_UNIT; UNIT_MISMATCH naming both units; QUANTITY_OUT_OF_RANGE when the value is not finite
 * @source UCUM codes and exact factors of `units.ts`
 * @example toUnit({ value: 450, unit: 'mA' }, 'A') // 0.45
 */
export function toUnit({ value, unit }: Quantity, target: string): number {
  if (!Number.isFinite(value))
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `value must be finite, got ${value} ${unit}`, { path: '/value', value: String(value) })
  const from = knownUnit(unit)
  const to = knownUnit(target)
  if (from.dimension !== to.dimension)
    throw new DomainError('UNIT_MISMATCH', `unit must be of ${to.dimension} such as ${to.code}, got ${unit}, which is of ${from.dimension}`, {
      path: '/unit',
      limit: `${to.dimension} (${to.code})`,
      value: unit,
    })
  if (from === to) return value
  return (value * from.factor + from.offset - to.offset) / to.factor
}
