import type { Network } from '../diagnosis/network.ts'
import { infer } from '../diagnosis/prepare.ts'
import type { Gathered } from './gathered.ts'

/** Log-odds in decibans: 10 log10(p / (1 - p)); ends are kept finite. */
export function decibans(probability: number): number {
  const kept = Math.min(Math.max(probability, 1e-12), 1 - 1e-12)
  return 10 * Math.log10(kept / (1 - kept))
}

/** One item of what is known, with the change it made to every cause when it was added. */
export interface EvidenceStep {
  /** Positions of the findings; empty for what a fully read display does not show. */
  findings: number[]
  decibans: Float64Array
}

function changes(before: Float64Array, after: Float64Array): Float64Array {
  return after.map((probability, cause) => decibans(probability) - decibans(before[cause]!))
}

/**
 * Additive account of a diagnosis: circumstances first, then silence, then each item in the order it was given.
 * Prior and steps add up exactly to the posterior; a step depends on the order, as any additive account does.
 * @source I. J. Good, weight of evidence in decibans (from memory)
 */
export function explain(
  known: Gathered,
  networks: { plain: Network; adjusted: Network },
): { prior: Float64Array; steps: EvidenceStep[] } {
  const prior = infer(networks.plain, []).posterior
  const steps: EvidenceStep[] = []
  let before = prior
  const add = (network: Network, evidence: Gathered['evidence'], findings: number[]) => {
    const after = infer(network, evidence).posterior
    steps.push({ findings, decibans: changes(before, after) })
    before = after
  }
  if (known.contexts.size > 0) add(networks.adjusted, [], [...known.contexts.values()])
  const silent = known.evidence.filter(({ findings }) => findings.length === 0)
  const given = known.evidence.filter(({ findings }) => findings.length > 0)
  if (silent.length > 0) add(networks.adjusted, silent, [])
  given.forEach((item, index) => {
    add(networks.adjusted, [...silent, ...given.slice(0, index + 1)], item.findings)
  })
  return { prior, steps }
}
