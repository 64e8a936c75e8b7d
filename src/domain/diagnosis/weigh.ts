import type { Evidence, Network } from './network.ts'
import { infer } from './prepare.ts'

/** Posteriors are kept this far from 0 and 1, so that no weight of evidence is infinite. */
const LEAST_PROBABILITY = 1e-12

function logOdds(probability: number): number {
  const kept = Math.min(Math.max(probability, LEAST_PROBABILITY), 1 - LEAST_PROBABILITY)
  return 10 * Math.log10(kept / (1 - kept))
}

function weightBetween(before: Float64Array, after: Float64Array): Float64Array {
  return after.map((probability, cause) => logOdds(probability) - logOdds(before[cause]!))
}

/**
 * Weight of each item of evidence for each cause, in decibans, the items taken in the order given.
 *
 * step = 10 log10 (odds after) - 10 log10 (odds before)
 *
 * @param evidence - items in the order in which they are to be accounted for
 * @returns one array [decibans] an item, one number a cause; with the log-odds of the prior they add up to the posterior's
 * @throws DomainError EVIDENCE_IMPOSSIBLE, EVIDENCE_TOO_ENTANGLED
 * @validity steps depend on the order; log-odds are kept within about 120 decibans of 0
 * @source I. J. Good, Probability and the Weighing of Evidence (1950), from memory
 */
export function evidenceSteps(network: Network, evidence: readonly Evidence[]): Float64Array[] {
  let before = infer(network, []).posterior
  return evidence.map((_, index) => {
    const after = infer(network, evidence.slice(0, index + 1)).posterior
    const step = weightBetween(before, after)
    before = after
    return step
  })
}

/**
 * What each item of evidence changes when all the others are known, in decibans for each cause.
 *
 * @returns one array [decibans] an item, one number a cause; free of order, they do not add up
 * @throws DomainError EVIDENCE_IMPOSSIBLE, EVIDENCE_TOO_ENTANGLED
 * @validity log-odds are kept within about 120 decibans of 0
 * @source I. J. Good, Probability and the Weighing of Evidence (1950), from memory; counterfactual reading is ours
 */
export function leaveOneOut(network: Network, evidence: readonly Evidence[]): Float64Array[] {
  const all = infer(network, evidence).posterior
  return evidence.map((_, index) => {
    const without = infer(network, [...evidence.slice(0, index), ...evidence.slice(index + 1)]).posterior
    return weightBetween(without, all)
  })
}
