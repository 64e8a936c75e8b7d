import type { LanguagePack } from './language.ts'
import type { Check } from './shape.ts'

/** Whether safety hangs on the words of a concept: hazards, and checks that have one or look for one. */
export function bearsOnSafety(concept: { id: string }): boolean {
  if (concept.id.startsWith('hazard/')) return true
  if (!concept.id.startsWith('check/')) return false
  const { model, hazards } = concept as Check
  return model.kind === 'danger' || hazards.length > 0
}

/** Whether the words of a pack may be served: those that safety hangs on stay English until somebody has reviewed them. */
export const isServable = ({ review }: LanguagePack, concept: { id: string }): boolean =>
  review === 'reviewed' || !bearsOnSafety(concept)
