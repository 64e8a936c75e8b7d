import type { Step } from '../domain/quantities/derivation.ts'
import { findUnit } from '../domain/quantities/units.ts'

/** Steps of a derivation as answers carry them: each result with the UCUM code of its unit. */
export function wireSteps(steps: readonly Step[]) {
  return steps.map(({ formula, substituted, value, unit, source }) => ({
    formula,
    substituted,
    result: { value, unit: findUnit(unit)?.code ?? unit },
    source,
  }))
}
