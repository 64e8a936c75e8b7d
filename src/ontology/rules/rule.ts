import type { Ontology } from '../shape.ts'

/** A rule broken by one concept: which rule, whose id, what is wrong and how to mend it. */
export interface Fault {
  rule: string
  id: string
  message: string
  remedy: string
}
export type Rule = (ontology: Ontology) => Fault[]

/** Concepts of an overlay need not say what came later than the release they were written for. */
export const isOfOverlay = ({ id }: { id: string }): boolean => id.includes('~')
