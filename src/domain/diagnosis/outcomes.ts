import { DomainError } from '../errors.ts'
import { atMost, upTo } from './cumulative.ts'
import type { Effect } from './network.ts'
import { type Prepared, prepareOnTop } from './prepare.ts'
import { type Reweighed, reweigh } from './reweigh.ts'

/** A level that an effect not yet observed may turn out to have. */
export interface Outcome {
  probability: number
  /** Posterior of every cause if it does. */
  posterior: number[]
}

const NONE: Reweighed['moved'] = []

/** Below this a level is computed by itself: a difference is off by about 2e-16 / probability (measured). */
const DIRECT_BELOW = 1e-3

/** P(level <= b | evidence): a product over causes, so it is absorbed as a factor on each linked cause. */
function reweighAtMost(prepared: Prepared, effect: Effect, level: number): Reweighed {
  const changed = reweigh(prepared, atMost(effect, level))
  return { ...changed, probability: changed.probability * upTo(effect.leak, level) }
}

/** One level as a difference of two cumulative results; what it cannot hold with any chance leaves all as it is. */
function difference(prepared: Prepared, above: Reweighed, below: Reweighed): Reweighed {
  const probability = above.probability - below.probability
  if (!(probability > 0)) return { probability: 0, posterior: prepared.inference.posterior, moved: NONE, work: 0 }
  const posterior = prepared.inference.posterior.slice()
  // Both are about the links of one effect.
  const moved = below.moved.length > 0 ? below.moved : above.moved
  for (const causes of moved)
    for (const cause of causes) {
      const joint = above.posterior[cause]! * above.probability - below.posterior[cause]! * below.probability
      posterior[cause] = Math.min(1, Math.max(0, joint / probability))
    }
  return { probability, posterior, moved: NONE, work: 0 }
}

/** One level worked through as evidence; undefined where that would join too many findings. */
function direct(prepared: Prepared, effect: number, level: number): Reweighed | undefined {
  const { network, inference } = prepared
  const weights = network.effects[effect]!.leak.map((_, index) => (index === level ? 1 : 0))
  try {
    const { logEvidence, posterior, work } = prepareOnTop(prepared, [{ effect, weights }]).inference
    return { probability: Math.exp(logEvidence - inference.logEvidence), posterior, moved: NONE, work }
  } catch (error) {
    if (!(error instanceof DomainError)) throw error
    if (error.code === 'EVIDENCE_IMPOSSIBLE')
      return { probability: 0, posterior: inference.posterior, moved: NONE, work: 0 }
    if (error.code === 'EVIDENCE_TOO_ENTANGLED') return undefined
    throw error
  }
}

/**
 * Probability of each level of an effect not observed so far, with the posterior it would lead to.
 *
 * P(level = b) = P(level <= b) - P(level <= b - 1)
 *
 * "At most b" is absorbed without joining components; rare levels are worked through directly.
 *
 * @returns one outcome a level; an impossible one has probability 0 and the posterior as it is now
 * @throws DomainError never for an impossible or too entangled level
 * @source exact absorption of absent effects, Heckerman's two-layer form (1989), from memory; checked against enumeration
 * @validity exact; errors of a posterior below 1e-12, except rare levels whose own evidence would be too entangled: those
 * stay differences, off by at most about 1e-15 / probability
 */
export function outcomes(prepared: Prepared, effect: number): { outcomes: Outcome[]; work: number } {
  const observed = prepared.network.effects[effect]!
  const { leak } = observed
  const { posterior } = prepared.inference
  const list: Outcome[] = []
  let work = 0
  let below: Reweighed = { probability: 0, posterior, moved: NONE, work: 0 }
  for (let level = 0; level < leak.length; level++) {
    const isLast = level === leak.length - 1
    const above = isLast
      ? { probability: 1, posterior, moved: NONE, work: 0 }
      : reweighAtMost(prepared, observed, level)
    const isRare = level > 0 && above.probability - below.probability < DIRECT_BELOW
    const rare = isRare ? direct(prepared, effect, level) : undefined
    const outcome = rare ?? (level === 0 && !isLast ? above : difference(prepared, above, below))
    list.push({ probability: outcome.probability, posterior: outcome.posterior })
    work += above.work + (rare?.work ?? 0)
    below = above
  }
  return { outcomes: list, work }
}
