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

/**
 * Runs every check and throws what they refuse together, so that one answer names every mistake.
 * @throws DomainError the first refusal, with the others in `also`
 */
export function refuseTogether(checks: readonly (() => unknown)[]): void {
  const refusals = checks.flatMap((check) => {
    try {
      check()
      return []
    } catch (error) {
      if (error instanceof DomainError) return [error]
      throw error
    }
  })
  const [first, ...also] = refusals
  if (first) throw new DomainError(first.code, first.message, first.detail, [...first.also, ...also])
}
