import { DomainError } from '../errors.ts'
import type { Evidence, Network } from './network.ts'

/** A link of one option into one active item. */
export interface OptionLink {
  item: number
  levels: readonly number[]
}
/** One state of a variable: its weight and what it brings about. Option 0 is "none of them present". */
export interface Option {
  /** The cause that is present in this option; -1 for none. */
  cause: number
  weight: number
  links: OptionLink[]
}
export interface Variable {
  options: Option[]
}
/** An effect that is observed above its lowest level, or only with doubt. */
export interface Item {
  effect: number
  weights: readonly number[]
  leak: readonly number[]
}
/** Evidence as a product over independent variables: what is absent is absorbed into their weights already. */
export interface Model {
  variables: Variable[]
  items: Item[]
  /** Variable and option of each cause. */
  place: { variable: number; option: number }[]
  /** ln of the constant factor gathered while absorbing. */
  logConstant: number
}

function variablesOf({ prior, groups }: Network): Pick<Model, 'variables' | 'place'> {
  const place: Model['place'] = new Array(prior.length)
  const variables: Variable[] = []
  const add = (causes: readonly number[]) => {
    const rest = 1 - causes.reduce((sum, cause) => sum + prior[cause]!, 0)
    const options: Option[] = [{ cause: -1, weight: rest, links: [] }]
    for (const cause of causes) {
      place[cause] = { variable: variables.length, option: options.length }
      options.push({ cause, weight: prior[cause]!, links: [] })
    }
    variables.push({ options })
  }
  for (const group of groups) add(group)
  for (let cause = 0; cause < prior.length; cause++) if (place[cause] === undefined) add([cause])
  return { variables, place }
}

/** Several items on one effect are one item whose weights multiply. */
function merged(evidence: readonly Evidence[]): Evidence[] {
  const byEffect = new Map<number, number[]>()
  for (const { effect, weights } of evidence) {
    const known = byEffect.get(effect)
    byEffect.set(effect, known ? known.map((weight, level) => weight * weights[level]!) : [...weights])
  }
  return [...byEffect].map(([effect, weights]) => ({ effect, weights })).sort((a, b) => a.effect - b.effect)
}

/** Levels above the highest one with weight cannot be reached: they are cut off. */
function highestLevel(weights: readonly number[]): number {
  let level = weights.length - 1
  while (level > 0 && !(weights[level]! > 0)) level--
  return level
}

function checkWeights({ effect, weights }: Evidence, levels: number): void {
  const fits = weights.length === levels && weights.every((weight) => Number.isFinite(weight) && weight >= 0)
  if (fits && weights.some((weight) => weight > 0)) return
  throw new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `weights of effect ${effect} must be ${levels} finite numbers >= 0, not all 0`,
    {
      value: effect,
    },
  )
}

/** Splits evidence into what multiplies into the causes at once and what must be summed over. */
export function buildModel(network: Network, evidence: readonly Evidence[]): Model {
  const model: Model = { ...variablesOf(network), items: [], logConstant: 0 }
  for (const item of merged(evidence)) {
    const effect = network.effects[item.effect]!
    checkWeights(item, effect.leak.length)
    const top = highestLevel(item.weights)
    const says = item.weights.some((weight) => weight !== item.weights[0])
    if (!says) model.logConstant += Math.log(item.weights[0]!)
    else if (top === 0) {
      model.logConstant += Math.log(item.weights[0]! * effect.leak[0]!)
      for (const { cause, levels } of effect.links) optionOf(model, cause).weight *= levels[0]!
    } else {
      const index = model.items.length
      const cut = (levels: readonly number[]) => levels.slice(0, top + 1)
      model.items.push({ effect: item.effect, weights: cut(item.weights), leak: cut(effect.leak) })
      for (const { cause, levels } of effect.links)
        if (optionOf(model, cause).weight > 0) optionOf(model, cause).links.push({ item: index, levels: cut(levels) })
    }
  }
  return model
}

/** The option in which a cause is present. */
export function optionOf({ variables, place }: Model, cause: number): Option {
  const { variable, option } = place[cause]!
  return variables[variable]!.options[option]!
}
