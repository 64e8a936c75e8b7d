import { DomainError } from '../errors.ts'

function refuse(path: string, constraint: string, value: number, unit: string, limit: number | string): never {
  throw new DomainError(
    'QUANTITY_OUT_OF_RANGE',
    `${path.slice(1)} must be ${constraint}, got ${value} ${unit}`.trim(),
    {
      path,
      limit,
      value: Number.isFinite(value) ? value : String(value),
    },
  )
}

/** A finite number not below a limit; refuses anything else with the path of the field. */
export function atLeast(value: number, limit: number, path: string, unit: string): number {
  return Number.isFinite(value) && value >= limit ? value : refuse(path, `finite and >= ${limit}`, value, unit, limit)
}

/** A finite number above zero. */
export function positive(value: number, path: string, unit: string): number {
  return Number.isFinite(value) && value > 0 ? value : refuse(path, 'finite and > 0', value, unit, 0)
}

/** A fraction above 0 and at most 1. */
export function fraction(value: number, path: string): number {
  return value > 0 && value <= 1 ? value : refuse(path, '> 0 and <= 1', value, '', 1)
}

/** A whole number between 1 and a limit. */
export function count(value: number, limit: number, path: string): number {
  return Number.isInteger(value) && value >= 1 && value <= limit
    ? value
    : refuse(path, `a whole number from 1 to ${limit}`, value, '', limit)
}
