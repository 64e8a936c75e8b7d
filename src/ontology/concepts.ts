import { KINDS, type Kind, type Ontology } from './shape.ts'

export type Concept = Ontology[Kind][number]

/** All concepts with their kind, kinds in their fixed order, ids sorted within. */
export function allConcepts(ontology: Ontology): { kind: Kind; concept: Concept }[] {
  return KINDS.flatMap((kind) => ontology[kind].map((concept) => ({ kind, concept })))
}
