import type { Evidence, Network } from '../../src/domain/diagnosis/network.ts'

/**
 * A second engine for tests: goes through every set of causes and lets each source of an effect (its leak, each
 * present cause) take its own level. Sums of products of non-negative numbers only, so that tiny leaks keep their digits.
 */

/** The level distribution of one source of an effect, as a statement about the world changes it; cause -1 is the leak. */
export type SourceRule = (effect: number, cause: number, levels: readonly number[]) => readonly number[]

const asIs: SourceRule = (_, __, levels) => levels

/** P(the highest level of all sources = b), pair by pair. */
function highest(sources: readonly (readonly number[])[], size: number): number[] {
  let reached = Array.from({ length: size }, (_, level) => Number(level === 0))
  for (const levels of sources) {
    const next = new Array<number>(size).fill(0)
    for (let a = 0; a < size; a++) for (let b = 0; b < size; b++) next[Math.max(a, b)]! += reached[a]! * levels[b]!
    reached = next
  }
  return reached
}

/** Probability of the evidence in a world with these causes. */
export function evidenceGiven(
  { effects }: Network,
  evidence: readonly Evidence[],
  causes: ReadonlySet<number>,
  rule: SourceRule = asIs,
): number {
  const byEffect = new Map<number, number[]>()
  for (const { effect, weights } of evidence)
    byEffect.set(
      effect,
      weights.map((weight, level) => weight * (byEffect.get(effect)?.[level] ?? 1)),
    )
  let product = 1
  for (const [effect, weights] of byEffect) {
    const { leak, links } = effects[effect]!
    const sources = links
      .filter(({ cause }) => causes.has(cause))
      .map(({ cause, levels }) => rule(effect, cause, levels))
    const reached = highest([rule(effect, -1, leak), ...sources], leak.length)
    product *= reached.reduce((sum, mass, level) => sum + mass * weights[level]!, 0)
  }
  return product
}

/** Every allowed set of causes with its prior probability. */
export function worldsOf({ prior, groups }: Network): { causes: Set<number>; prior: number }[] {
  const grouped = new Set(groups.flat())
  const singles = prior.flatMap((_, cause) => (grouped.has(cause) ? [] : [[cause]]))
  let worlds: { causes: number[]; prior: number }[] = [{ causes: [], prior: 1 }]
  for (const members of [...groups, ...singles]) {
    const none = 1 - members.reduce((sum, cause) => sum + prior[cause]!, 0)
    worlds = worlds.flatMap((world) => [
      { causes: world.causes, prior: world.prior * none },
      ...members.map((cause) => ({ causes: [...world.causes, cause], prior: world.prior * prior[cause]! })),
    ])
  }
  return worlds.map((world) => ({ causes: new Set(world.causes), prior: world.prior }))
}

export interface WorldAnswer {
  evidence: number
  posterior: number[]
}

/** P(evidence) and the posterior of every cause. */
export function answerByWorlds(network: Network, evidence: readonly Evidence[], rule: SourceRule = asIs): WorldAnswer {
  const joint = network.prior.map(() => 0)
  let total = 0
  for (const { causes, prior } of worldsOf(network)) {
    const weight = prior * evidenceGiven(network, evidence, causes, rule)
    total += weight
    for (const cause of causes) joint[cause]! += weight
  }
  return { evidence: total, posterior: joint.map((weight) => weight / total) }
}

/** Every subset of the causes of a world that the remedies remove, with its probability. */
function removals(causes: ReadonlySet<number>, fixed: readonly number[]): { gone: Set<number>; chance: number }[] {
  let list: { gone: number[]; chance: number }[] = [{ gone: [], chance: 1 }]
  for (const cause of causes)
    list = list.flatMap(({ gone, chance }) => [
      { gone: [...gone, cause], chance: chance * fixed[cause]! },
      { gone, chance: chance * (1 - fixed[cause]!) },
    ])
  return list.filter(({ chance }) => chance > 0).map(({ gone, chance }) => ({ gone: new Set(gone), chance }))
}

/** P(no watched effect is brought about by its leak or by a cause that stays | evidence). */
export function clearByWorlds(
  network: Network,
  evidence: readonly Evidence[],
  fixed: readonly number[],
  watched: readonly number[],
): number {
  let total = 0
  let cleared = 0
  for (const { causes, prior } of worldsOf(network)) {
    total += prior * evidenceGiven(network, evidence, causes)
    for (const { gone, chance } of removals(causes, fixed)) {
      const rule: SourceRule = (effect, cause, levels) =>
        !watched.includes(effect) || gone.has(cause) ? levels : levels.map((share, level) => (level === 0 ? share : 0))
      cleared += prior * chance * evidenceGiven(network, evidence, causes, rule)
    }
  }
  return cleared / total
}
