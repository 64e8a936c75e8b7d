import { DomainError } from '../errors.ts'

/** The value when it is finite and within the bounds. @throws DomainError QUANTITY_OUT_OF_RANGE naming field, bounds and unit */
export function within(value: number, path: string, low: number, high: number, unit: string): number {
  if (Number.isFinite(value) && value >= low && value <= high) return value
  const limit = high === Number.POSITIVE_INFINITY ? `at least ${low}` : `between ${low} and ${high}`
  throw new DomainError(
    'QUANTITY_OUT_OF_RANGE',
    `${path.split('/').at(-1)} must be finite and ${limit} ${unit}, got ${value} ${unit}`,
    {
      path,
      limit: `${limit} ${unit}`,
      value: Number.isFinite(value) ? value : String(value),
    },
  )
}
