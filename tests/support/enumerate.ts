import type { Evidence, Network } from '../../src/domain/diagnosis/network.ts'

/** All that can be said of a network by going through every set of causes: a second engine, for tests only. */
export interface Enumerated {
  logEvidence: number
  posterior: number[]
  /** Probability that a statement about causes and evidence levels holds, given the evidence. */
  sets: { causes: number[]; probability: number }[]
}

function allowed(network: Network, causes: readonly number[]): boolean {
  return network.groups.every((group) => group.filter((cause) => causes.includes(cause)).length <= 1)
}

function priorOf(network: Network, causes: readonly number[]): number {
  const grouped = new Set(network.groups.flat())
  let weight = 1
  network.prior.forEach((prior, cause) => {
    if (!grouped.has(cause)) weight *= causes.includes(cause) ? prior : 1 - prior
  })
  for (const group of network.groups) {
    const member = group.find((cause) => causes.includes(cause))
    weight *=
      member === undefined ? 1 - group.reduce((sum, cause) => sum + network.prior[cause]!, 0) : network.prior[member]!
  }
  return weight
}

/** P(level <= b | causes): the product of cumulative distributions of leak and present causes. */
export function cumulativeOf(
  network: Network,
  effect: number,
  causes: readonly number[],
  level: number,
  withLeak = true,
): number {
  const upTo = (levels: readonly number[]) => levels.slice(0, level + 1).reduce((sum, share) => sum + share, 0)
  const { leak, links } = network.effects[effect]!
  return links
    .filter(({ cause }) => causes.includes(cause))
    .reduce((product, { levels }) => product * upTo(levels), withLeak ? upTo(leak) : 1)
}

/** P(evidence | causes). */
export function likelihood(network: Network, evidence: readonly Evidence[], causes: readonly number[]): number {
  return evidence.reduce((product, { effect, weights }) => {
    const sum = weights.reduce((total, weight, level) => {
      const below = level === 0 ? 0 : cumulativeOf(network, effect, causes, level - 1)
      return total + weight * (cumulativeOf(network, effect, causes, level) - below)
    }, 0)
    return product * sum
  }, 1)
}

/** Every set of causes with its joint weight: exclusive groups respected. */
export function causeSets(network: Network): number[][] {
  const count = network.prior.length
  return Array.from({ length: 2 ** count }, (_, mask) =>
    Array.from({ length: count }, (_, cause) => cause).filter((cause) => mask & (1 << cause)),
  ).filter((causes) => allowed(network, causes))
}

/** Brute force over all sets of causes; several items on one effect must be merged before. */
export function enumerate(network: Network, evidence: readonly Evidence[]): Enumerated {
  const joint = causeSets(network).map((causes) => ({
    causes,
    weight: priorOf(network, causes) * likelihood(network, evidence, causes),
  }))
  const total = joint.reduce((sum, { weight }) => sum + weight, 0)
  return {
    logEvidence: Math.log(total),
    posterior: network.prior.map(
      (_, cause) =>
        joint.filter(({ causes }) => causes.includes(cause)).reduce((sum, { weight }) => sum + weight, 0) / total,
    ),
    sets: joint.map(({ causes, weight }) => ({ causes, probability: weight / total })),
  }
}

/** Weighted sum over all sets of causes of a likelihood given by the caller. */
export function sumOver(network: Network, likelihoodOf: (causes: readonly number[]) => number): number {
  return causeSets(network).reduce((sum, causes) => sum + priorOf(network, causes) * likelihoodOf(causes), 0)
}
