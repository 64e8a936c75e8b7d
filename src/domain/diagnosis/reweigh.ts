import type { Weights } from './model.ts'
import { componentJoints } from './pass.ts'
import { type Prepared, writePosterior } from './prepare.ts'

export interface Reweighed {
  /** Weight of the evidence after the change, as a share of its weight before. */
  probability: number
  posterior: Float64Array
  work: number
}

/**
 * The evidence and the posteriors after the weight of some causes is multiplied by factors.
 *
 * Only components and loose variables that a changed cause belongs to are worked through again.
 *
 * @param factors - factor on the weight of "this cause is present", by cause; finite and >= 0
 */
export function reweigh(prepared: Prepared, factors: ReadonlyMap<number, number>): Reweighed {
  const { model, partition, results, inference } = prepared
  const factorOf = new Float64Array(inference.posterior.length).fill(1)
  const touched = new Set<number>()
  for (const [cause, factor] of factors) {
    factorOf[cause] = factor
    touched.add(model.variableOf[cause]!)
  }
  const weights: Weights = (variable, option) => {
    const { cause, weight } = model.variables[variable]!.options[option]!
    return cause < 0 ? weight : weight * factorOf[cause]!
  }
  const posterior = inference.posterior.slice()
  let probability = 1
  let work = 0
  for (const index of new Set([...touched].map((variable) => partition.componentOf[variable]!))) {
    if (index < 0) continue
    const result = componentJoints(model, partition.components[index]!, weights)
    probability *= result.evidence / results[index]!.evidence
    work += result.work
    if (result.evidence > 0)
      for (const [variable, joint] of result.joint) writePosterior(posterior, model, variable, joint)
  }
  for (const variable of touched) {
    if (partition.componentOf[variable]! >= 0) continue
    const { options } = model.variables[variable]!
    const joint = options.map((_, option) => weights(variable, option))
    const after = joint.reduce((sum, weight) => sum + weight, 0)
    probability *= after / options.reduce((sum, { weight }) => sum + weight, 0)
    if (after > 0) writePosterior(posterior, model, variable, joint)
  }
  return probability > 0 ? { probability, posterior, work } : { probability: 0, posterior: inference.posterior, work }
}

/**
 * The evidence and the posteriors if the prior odds of some causes were multiplied by factors: what another circumstance
 * would mean for everything known so far.
 *
 * new weight = weight * factor / (sum over the variable of prior * factor)
 *
 * @param factors - factor on the prior odds, by cause; 0 removes a cause
 * @returns `probability` is P(evidence | factors) / P(evidence)
 */
export function reweighPrior(prepared: Prepared, factors: ReadonlyMap<number, number>): Reweighed {
  const { model, network } = prepared
  let normaliser = 1
  for (const variable of new Set([...factors.keys()].map((cause) => model.variableOf[cause]!))) {
    let total = 1
    for (const { cause } of model.variables[variable]!.options)
      if (cause >= 0) total += network.prior[cause]! * ((factors.get(cause) ?? 1) - 1)
    normaliser *= total
  }
  const changed = reweigh(prepared, factors)
  return { ...changed, probability: changed.probability / normaliser }
}
