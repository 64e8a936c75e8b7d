import { DomainError } from '../errors.ts'
import { type Partition, partition } from './components.ts'
import { buildModel, type Model } from './model.ts'
import type { Evidence, Network } from './network.ts'
import { type ComponentResult, componentJoints, modelWeights } from './pass.ts'

export interface Inference {
  /** ln P(evidence). */
  logEvidence: number
  /** Posterior probability of each cause. */
  posterior: Float64Array
  /** Counted state updates. */
  work: number
}
/** Evidence worked through once, so that queries on top of it are cheap. */
export interface Prepared {
  network: Network
  evidence: readonly Evidence[]
  model: Model
  partition: Partition
  results: ComponentResult[]
  inference: Inference
}

function impossible(model: Model, items: readonly number[]): DomainError {
  const effects = items.map((item) => model.items[item]!.effect)
  return new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `no cause and no leak can bring about effects ${effects.join(', ')} as observed`,
    {
      value: effects.join(', '),
    },
  )
}

/** Posterior of each cause of a variable from the joint weights of its options. */
export function writePosterior(
  posterior: Float64Array,
  model: Model,
  variable: number,
  joint: readonly number[],
): void {
  let total = 0
  for (const weight of joint) total += weight
  model.variables[variable]!.options.forEach(({ cause }, option) => {
    if (cause >= 0) posterior[cause] = joint[option]! / total
  })
}

/**
 * Exact inference: absorbs what is absent, splits what is present into components, passes states through each.
 * @throws DomainError EVIDENCE_IMPOSSIBLE when nothing can bring the evidence about; EVIDENCE_TOO_ENTANGLED over the cap
 * @source causal independence as a chain, D. Heckerman and J. Breese (1994), from memory; checked against enumeration
 */
export function prepare(network: Network, evidence: readonly Evidence[]): Prepared {
  const model = buildModel(network, evidence)
  const parts = partition(model)
  const posterior = new Float64Array(network.prior.length)
  const weights = modelWeights(model)
  let logEvidence = model.logConstant
  let work = 0
  const results = parts.components.map((component) => {
    const result = componentJoints(model, component, weights)
    if (!(result.evidence > 0)) throw impossible(model, component.items)
    logEvidence += Math.log(result.evidence)
    work += result.work
    for (const [variable, joint] of result.joint) writePosterior(posterior, model, variable, joint)
    return result
  })
  model.variables.forEach(({ options }, variable) => {
    if (parts.componentOf[variable]! >= 0) return
    const own = options.map(({ weight }) => weight)
    const total = own.reduce((sum, weight) => sum + weight, 0)
    if (!(total > 0)) throw new DomainError('EVIDENCE_IMPOSSIBLE', 'an absent effect must be possible to be absent', {})
    logEvidence += Math.log(total)
    writePosterior(posterior, model, variable, own)
  })
  return { network, evidence, model, partition: parts, results, inference: { logEvidence, posterior, work } }
}

/** Posterior of every cause and ln P(evidence), exactly. */
export function infer(network: Network, evidence: readonly Evidence[]): Inference {
  return prepare(network, evidence).inference
}
