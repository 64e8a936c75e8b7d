import { type Component, reduced } from './components.ts'
import { atMost, type Changes } from './cumulative.ts'
import { type Model, type Variable, writePosterior } from './model.ts'
import type { Evidence } from './network.ts'
import { workComponent } from './pass.ts'
import { type Inference, infer, type Prepared } from './prepare.ts'
import { reweigh } from './reweigh.ts'

const withoutLinks = ({ options, first }: Variable, left: number): Variable => ({
  options: options.map(({ cause, links }) => ({ cause, links: links.filter(({ item }) => item !== left) })),
  first,
})

/** A model in which the shared variables of a component do not reach one of its items. */
function withoutItem(model: Model, { shared }: Component, left: number): Model {
  const variables = model.variables.slice()
  for (const variable of shared) variables[variable] = withoutLinks(variables[variable]!, left)
  return { ...model, variables }
}

/** An effect seen above its lowest level: its component is worked through without it, its own causes are as before it. */
function withoutActive({ model, partition, results, inference }: Prepared, left: number): number[] {
  const posterior = inference.posterior.slice()
  const index = partition.components.findIndex(({ items }) => items.includes(left))
  const component = partition.components[index]!
  for (const variable of component.own[component.items.indexOf(left)]!)
    writePosterior(posterior, model.variables[variable]!, model.weights)
  const positions = [...component.items.keys()].filter((position) => component.items[position] !== left)
  if (positions.length === 0) return posterior
  const rest = reduced(model, component, positions)
  const backgrounds = positions.map((position) => results[index]!.backgrounds[position]!)
  workComponent(withoutItem(model, component, left), rest, model.weights, posterior, backgrounds)
  return posterior
}

/** Certainly at its lowest level, so that it is absorbed into the weights of causes, none of which it rules out. */
function canBeTakenBack({ network, evidence }: Prepared, effect: number): boolean {
  const own = evidence.filter((one) => one.effect === effect)
  return (
    own.length === 1 &&
    own[0]!.weights.every((weight, level) => weight > 0 === (level === 0)) &&
    network.effects[effect]!.links.every(({ levels }) => levels[0]! > 0)
  )
}

/** Factors that undo those on the weights of causes. */
function takenBack(absorbed: Float64Array): Changes {
  const changes = { causes: [] as number[], factors: [] as number[] }
  for (let cause = 0; cause < absorbed.length; cause++) {
    if (absorbed[cause] === 1) continue
    changes.causes.push(cause)
    changes.factors.push(1 / absorbed[cause]!)
  }
  return changes
}

/**
 * What is known without some absent effects: what they put on the weights of causes is taken back.
 *
 * @param absent - evidence on effects of which no other evidence speaks: certainly at their lowest level, ruling out no cause
 */
export function withoutAbsent(
  prepared: Prepared,
  absent: readonly Evidence[],
): Pick<Inference, 'posterior' | 'logEvidence'> {
  const { network, inference } = prepared
  const absorbed = new Float64Array(network.prior.length).fill(1)
  let logAbsorbed = 0
  for (const { effect, weights } of absent) {
    logAbsorbed += Math.log(weights[0]! * network.effects[effect]!.leak[0]!)
    const { causes, factors } = atMost(network.effects[effect]!, 0)
    for (let at = 0; at < causes.length; at++) absorbed[causes[at]!]! *= factors[at]!
  }
  const { posterior, probability } = reweigh(prepared, takenBack(absorbed))
  return { posterior, logEvidence: inference.logEvidence + Math.log(probability) - logAbsorbed }
}

/**
 * Posterior of every cause as if one of the effects had not been observed.
 *
 * @param effect - one that the evidence speaks of
 */
export function posteriorWithout(prepared: Prepared, effect: number): number[] {
  const { network, evidence, model } = prepared
  const item = model.items.findIndex((one) => one.effect === effect)
  if (item >= 0) return withoutActive(prepared, item)
  const own = evidence.filter((one) => one.effect === effect)
  if (canBeTakenBack(prepared, effect)) return withoutAbsent(prepared, own).posterior
  return infer(
    network,
    evidence.filter((one) => !own.includes(one)),
  ).posterior
}
