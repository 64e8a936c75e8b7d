import { componentJoints } from './pass.ts'
import { eachVariable, type Prepared, writePosterior } from './prepare.ts'

export interface Reweighed {
  /** Weight of the evidence after the change, as a share of its weight before. */
  probability: number
  posterior: Float64Array
  /** Variables whose causes may have another posterior than before. */
  moved: readonly number[]
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
  const { model, partition, results, inference, scratch } = prepared
  const { variables } = model
  scratch.weights ??= model.weights.slice()
  const { weights, joints } = scratch
  const loose = new Set<number>()
  const components = new Set<number>()
  for (const [cause, factor] of factors) {
    const variable = model.variableOf[cause]!
    weights[variables[variable]!.first + model.optionOf[cause]!]! *= factor
    const component = partition.componentOf[variable]!
    if (component < 0) loose.add(variable)
    else components.add(component)
  }
  const posterior = inference.posterior.slice()
  const moved = [...loose]
  let probability = 1
  let work = 0
  for (const index of components) {
    const component = partition.components[index]!
    const result = componentJoints(model, component, weights, joints)
    probability *= result.evidence / results[index]!.evidence
    work += result.work
    eachVariable(component, (variable) => {
      moved.push(variable)
      writePosterior(posterior, variables[variable]!, joints)
    })
  }
  for (const variable of loose) {
    const { options, first } = variables[variable]!
    const after = writePosterior(posterior, variables[variable]!, weights)
    let before = 0
    for (let option = 0; option < options.length; option++) before += model.weights[first + option]!
    probability *= after / before
  }
  for (const cause of factors.keys()) {
    const at = variables[model.variableOf[cause]!]!.first + model.optionOf[cause]!
    weights[at] = model.weights[at]!
  }
  if (probability > 0) return { probability, posterior, moved, work }
  return { probability: 0, posterior: inference.posterior, moved: [], work }
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
