import { partition } from '../../domain/diagnosis/components.ts'
import { buildModel } from '../../domain/diagnosis/model.ts'
import { DomainError } from '../../domain/errors.ts'
import { compileOntology } from '../compile.ts'
import type { Ontology } from '../shape.ts'

export interface ComponentSize {
  /** What stands together. */
  conditions: string[]
  states: number
  isByAssignment: boolean
  /** True when it is over the cap and such findings are refused. */
  isRefused: boolean
}

/** Size of the largest part that a set of standing conditions ties together. */
function sizeOf(ontology: Ontology, ids: readonly string[]): ComponentSize {
  const release = compileOntology(ontology, 'report')
  const network = { prior: release.causes.map(({ prior }) => prior), groups: [], effects: release.effects }
  const standing = release.conditions.filter(({ id }) => ids.includes(id))
  const model = buildModel(
    network,
    standing.map(({ effect }) => ({ effect, weights: [0, 1] })),
  )
  const base = { conditions: [...ids], isRefused: false, isByAssignment: false }
  try {
    const largest = partition(model).components.reduce((a, b) => (b.states > a.states ? b : a))
    return { ...base, states: largest.states, isByAssignment: largest.isByAssignment }
  } catch (error) {
    if (error instanceof DomainError) return { ...base, states: Number(error.detail.value), isRefused: true }
    throw error
  }
}

/** For each family, all its conditions at once: the worst that a display of that family can ask for. */
export function familyComponents(ontology: Ontology): ComponentSize[] {
  const families = [...new Set(ontology.condition.map(({ family }) => family))]
  return families
    .map((family) => ontology.condition.filter((condition) => condition.family === family).map(({ id }) => id))
    .map((ids) => sizeOf(ontology, ids))
    .sort((a, b) => b.states - a.states)
}
