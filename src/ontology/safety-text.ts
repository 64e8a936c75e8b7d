import type { LanguagePack } from './language.ts'
import type { Check } from './shape.ts'

/** Whether a name is itself a warning: hazards, and checks that look for a danger. */
export const isWarning = (concept: { id: string }): boolean =>
  concept.id.startsWith('hazard/') || (concept.id.startsWith('check/') && (concept as Check).model.kind === 'danger')

/** Whether safety hangs on the words of a concept: hazards, and checks that have one or look for one. */
export function bearsOnSafety(concept: { id: string }): boolean {
  return isWarning(concept) || (concept.id.startsWith('check/') && (concept as Check).hazards.length > 0)
}

/** Whether the words of a pack may be served: those that safety hangs on stay English until somebody has reviewed them. */
export const isServable = ({ review }: LanguagePack, concept: { id: string }): boolean =>
  review === 'reviewed' || !bearsOnSafety(concept)
