import { DomainError } from '../errors.ts'
import { findUnit, UNITS, type Unit } from './units.ts'

export interface Quantity {
  value: number
  unit: string
}

/**
 * The unit that a spelling names.
 *
 * @param spelling - UCUM code or usual spelling; spaces around it are ignored, case counts
 * @throws DomainError UNKNOWN_UNIT, listing the accepted spellings
 * @source ucum codes, from memory
 * @example parseUnit('Ah').code // 'A.h'
 */
export function parseUnit(spelling: string): Unit {
  const found = findUnit(spelling)
  if (found) return found
  const limit = UNITS.flatMap(({ spellings }) => spellings).join(' ')
  const value = spelling.slice(0, 20)
  throw new DomainError('UNKNOWN_UNIT', `unit must be one of ${limit}, got ${value}`, { path: '/unit', limit, value })
}

function refuseMismatch(from: Unit, to: Unit): never {
  throw new DomainError(
    'UNIT_MISMATCH',
    `unit must be of ${to.dimension} such as ${to.code}, got ${from.code}, which is of ${from.dimension}`,
    { path: '/unit', limit: `${to.dimension} (${to.code})`, value: `${from.dimension} (${from.code})` },
  )
}

function finite(value: number, unit: string): number {
  if (Number.isFinite(value)) return value
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `value must be finite, got ${value} ${unit}`, {
    path: '/value',
    value: String(value),
  })
}

/**
 * A quantity's value in another unit of the same dimension.
 *
 * target = (value + shift) * factor / divisor * targetDivisor / targetFactor - targetShift
 *
 * @param quantity - value and a spelling of its unit
 * @param target - a spelling of the unit wanted
 * @returns the value in the target unit, unrounded
 * @throws DomainError UNKNOWN_UNIT; UNIT_MISMATCH naming both units and dimensions; QUANTITY_OUT_OF_RANGE when the
 *   value or the result is not finite
 * @validity exact factors; only binary rounding remains. VA and W are kept apart: their ratio is a power factor
 * @source ucum codes, si-brochure factors, from memory
 * @example toUnit({ value: 450, unit: 'mA' }, 'A') // 0.45
 */
export function toUnit({ value, unit }: Quantity, target: string): number {
  finite(value, unit.slice(0, 20))
  const from = parseUnit(unit)
  const to = parseUnit(target)
  if (from.dimension !== to.dimension) refuseMismatch(from, to)
  if (from === to) return value
  // One product of whole numbers and one division: 35 uA is 0.035 mA, where two divisions would leave binary crumbs.
  const scaled = ((value + from.shift) * (from.factor * to.divisor)) / (from.divisor * to.factor)
  return finite(scaled - to.shift, unit)
}
