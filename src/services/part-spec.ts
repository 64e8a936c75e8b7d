import { given } from '../domain/given.ts'
import type { FitRule, PartSpec } from '../domain/parts/needs/spec.ts'
import type { Substitute } from '../domain/parts/substitutes.ts'
import type { PartClass } from '../ontology/shape.ts'

/** Editions before 0.4.0 do not say how an attribute decides; these are the plain ones, all others must be equal. */
const BEFORE_0_4_0 = new Map<string, FitRule>([
  ['capacityAh', 'at-least'],
  ['lengthMm', 'at-most'],
  ['widthMm', 'at-most'],
  ['heightMm', 'at-most'],
  ['powerW', 'at-least'],
  ['toleranceFraction', 'at-most'],
  ['apparentPowerVA', 'at-least'],
  ['supplyVoltageV', 'covers'],
  ['inputVoltageV', 'covers'],
  ['quantityPerSet', 'count'],
])

/** A part class as the cores take it. */
export function specOf({ id, attributes }: PartClass): PartSpec {
  return {
    id,
    attributes: attributes.map(({ name, role, values, fit }) => ({
      name,
      role,
      rule: fit?.rule ?? BEFORE_0_4_0.get(name) ?? 'equal',
      ...given({
        values,
        order: fit?.order,
        fixed: fit?.fixed,
        prefer: fit?.prefer,
        unspecific: fit?.unspecific,
      }),
    })),
  }
}

/** What may take the place of a part of the class, as the cores take it. */
export function substitutesOf({ substitutes = [] }: PartClass): Substitute[] {
  return substitutes.map(({ id, swaps, partClass, conditions, rank, with: piece }) => ({
    id,
    swaps,
    conditions: conditions.map((condition) => condition.id),
    rank,
    ...given({ partClass, with: piece }),
  }))
}
