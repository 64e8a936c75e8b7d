import { isOfOverlay, type Rule } from './rule.ts'

/** A released cause that brings about others says what becomes of a new part while it stands, and no other cause does. */
export const rootsTellWhy: Rule = (ontology) =>
  ontology.cause
    .filter((cause) => !isOfOverlay(cause) && cause.rootOf.length > 0 !== (cause.again !== undefined))
    .map(({ id, again }) => ({
      rule: 'roots-tell-why',
      id,
      message: again
        ? 'says what becomes of a new part, but brings about nothing'
        : 'does not say what becomes of a new part',
      remedy: again
        ? 'Name the causes it brings about, or drop again'
        : 'Add again: what a new part suffers while it stands',
    }))
