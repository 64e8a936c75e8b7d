import { levelsOf } from './marginal.ts'
import type { Evidence, Network } from './network.ts'
import { infer } from './prepare.ts'
import { dot } from './spread.ts'

/**
 * How far the items of evidence pull apart, in bits: log2 of (product of P(each item)) / P(all of them).
 * Above 0 they support each other less than if they were independent; above 2 the two most at odds are worth re-asking.
 *
 * @param logEvidence - ln P(all items), where it is known already
 * @source F. V. Jensen et al. (1991), conflict measure, from memory
 */
export function conflictBits(network: Network, evidence: readonly Evidence[], logEvidence?: number): number {
  if (evidence.length < 2) return 0
  const single = evidence.reduce(
    (sum, { effect, weights }) => sum + Math.log(dot(levelsOf(network, effect), weights)),
    0,
  )
  return (single - (logEvidence ?? infer(network, evidence).logEvidence)) / Math.LN2
}
