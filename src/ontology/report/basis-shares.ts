import { allConcepts } from '../concepts.ts'
import type { Ontology } from '../shape.ts'

function basesIn(value: unknown): string[] {
  if (typeof value !== 'object' || value === null) return []
  const own = 'basis' in value && typeof value.basis === 'string' ? [value.basis] : []
  return [...own, ...Object.values(value).flatMap(basesIn)]
}

/** How many numbers and cautions rest on each basis. */
export function countByBasis(ontology: Ontology): Map<string, number> {
  const counts = new Map<string, number>()
  for (const basis of allConcepts(ontology).flatMap(({ concept }) => basesIn(concept)))
    counts.set(basis, (counts.get(basis) ?? 0) + 1)
  return new Map([...counts].sort((a, b) => b[1] - a[1]))
}
