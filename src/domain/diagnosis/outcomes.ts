import { componentJoints, type Weights } from './pass.ts'
import { infer, type Prepared, writePosterior } from './prepare.ts'

/** A level that an effect not yet observed may turn out to have. */
export interface Outcome {
  probability: number
  /** Posterior of every cause if it does. */
  posterior: Float64Array
}

/** Below this a level's posterior is computed by itself; a difference would lose digits. */
const DIRECT_BELOW = 1e-6

interface Cumulative {
  /** P(level <= b | evidence). */
  probability: number
  posterior: Float64Array
  work: number
}

/** "At most level b" is a product over causes, so it is absorbed; only components it touches are worked through again. */
function atMost(prepared: Prepared, effect: number, level: number): Cumulative {
  const { model, partition, results, network } = prepared
  const { leak, links } = network.effects[effect]!
  const upTo = (levels: readonly number[]) => levels.slice(0, level + 1).reduce((sum, share) => sum + share, 0)
  const factor = new Map<number, number>()
  for (const { cause, levels } of links) factor.set(cause, upTo(levels))
  const weights: Weights = (variable, option) => {
    const { cause, weight } = model.variables[variable]!.options[option]!
    return weight * (factor.get(cause) ?? 1)
  }
  const touched = new Set(links.map(({ cause }) => model.place[cause]!.variable))
  const posterior = prepared.inference.posterior.slice()
  let probability = upTo(leak)
  let work = 0
  for (const index of new Set([...touched].map((variable) => partition.componentOf[variable]!))) {
    if (index < 0) continue
    const result = componentJoints(model, partition.components[index]!, weights)
    probability *= result.evidence / results[index]!.evidence
    work += result.work
    for (const [variable, joint] of result.joint) writePosterior(posterior, model, variable, joint)
  }
  for (const variable of touched) {
    if (partition.componentOf[variable]! >= 0) continue
    const { options } = model.variables[variable]!
    const joint = options.map((_, option) => weights(variable, option))
    const before = options.reduce((sum, { weight }) => sum + weight, 0)
    probability *= joint.reduce((sum, weight) => sum + weight, 0) / before
    writePosterior(posterior, model, variable, joint)
  }
  return { probability, posterior, work }
}

function difference(
  prepared: Prepared,
  effect: number,
  level: number,
  above: Cumulative,
  below: Cumulative,
): Outcome & { work: number } {
  const probability = above.probability - below.probability
  if (probability >= DIRECT_BELOW) {
    const posterior = above.posterior.map((value, cause) =>
      Math.min(1, Math.max(0, (value * above.probability - below.posterior[cause]! * below.probability) / probability)),
    )
    return { probability, posterior, work: 0 }
  }
  const levels = prepared.network.effects[effect]!.leak.length
  const weights = Array.from({ length: levels }, (_, index) => (index === level ? 1 : 0))
  const direct = infer(prepared.network, [...prepared.evidence, { effect, weights }])
  return {
    probability: Math.exp(direct.logEvidence - prepared.inference.logEvidence),
    posterior: direct.posterior,
    work: direct.work,
  }
}

/**
 * Probability of each level of an effect not observed so far, with the posterior it would lead to. Exact.
 * "At most b" is absorbed without joining components; single levels follow as differences.
 */
export function outcomes(prepared: Prepared, effect: number): { outcomes: Outcome[]; work: number } {
  const { leak } = prepared.network.effects[effect]!
  const list: Outcome[] = []
  let work = 0
  let below: Cumulative = { probability: 0, posterior: prepared.inference.posterior, work: 0 }
  leak.forEach((_, level) => {
    const isLast = level === leak.length - 1
    const above = isLast
      ? { probability: 1, posterior: prepared.inference.posterior, work: 0 }
      : atMost(prepared, effect, level)
    const outcome =
      level === 0 && above.probability > 0 ? { ...above, work: 0 } : difference(prepared, effect, level, above, below)
    list.push({ probability: outcome.probability, posterior: outcome.posterior })
    work += above.work + outcome.work
    below = above
  })
  return { outcomes: list, work }
}
