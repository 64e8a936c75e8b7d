import type { Ontology } from '../shape.ts'

/** A rule broken by one concept: which rule, whose id, what is wrong and how to mend it. */
export interface Fault {
  rule: string
  id: string
  message: string
  remedy: string
}
export type Rule = (ontology: Ontology) => Fault[]
