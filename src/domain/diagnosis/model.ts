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
  links: readonly OptionLink[]
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
  /** Variable of each cause, and its option in there. */
  variableOf: Int32Array
  optionOf: Int32Array
  /** ln of the constant factor gathered while absorbing. */
  logConstant: number
}

/** Weight of each option of each variable: the model's own, or those of a query on top of it. */
export type Weights = (variable: number, option: number) => number

const NO_LINKS: readonly OptionLink[] = []

function emptyModel({ prior, groups }: Network): Model {
  const variableOf = new Int32Array(prior.length).fill(-1)
  const optionOf = new Int32Array(prior.length).fill(1)
  const variables: Variable[] = []
  const add = (causes: readonly number[]) => {
    let none = 1
    for (const cause of causes) none -= prior[cause]!
    const options: Option[] = [{ cause: -1, weight: none, links: NO_LINKS }]
    for (const cause of causes) {
      variableOf[cause] = variables.length
      optionOf[cause] = options.length
      options.push({ cause, weight: prior[cause]!, links: NO_LINKS })
    }
    variables.push({ options })
  }
  for (const group of groups) add(group)
  for (let cause = 0; cause < prior.length; cause++) if (variableOf[cause]! < 0) add([cause])
  return { variables, items: [], variableOf, optionOf, logConstant: 0 }
}

/** Weights by effect: several items of evidence on one effect are one item whose weights multiply. */
function merged({ effects }: Network, evidence: readonly Evidence[]): (readonly number[] | undefined)[] {
  const byEffect: (readonly number[] | undefined)[] = new Array(effects.length).fill(undefined)
  for (const { effect, weights } of evidence) {
    if (effects[effect] === undefined)
      throw new DomainError('UNKNOWN_ID', `evidence must name one of ${effects.length} effects, got ${effect}`, {
        value: effect,
      })
    const known = byEffect[effect]
    byEffect[effect] = known ? known.map((weight, level) => weight * weights[level]!) : weights
  }
  return byEffect
}

/** Levels above the highest one with weight cannot be reached: they are cut off. */
function highestLevel(weights: readonly number[]): number {
  let level = weights.length - 1
  while (level > 0 && !(weights[level]! > 0)) level--
  return level
}

function checkWeights(effect: number, weights: readonly number[], levels: number): void {
  let isFit = weights.length === levels
  let isPossible = false
  for (const weight of weights) {
    if (!(weight >= 0 && weight < Number.POSITIVE_INFINITY)) isFit = false
    if (weight > 0) isPossible = true
  }
  if (isFit && isPossible) return
  throw new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `weights of effect ${effect} must be ${levels} finite numbers >= 0, not all 0`,
    { value: effect },
  )
}

function isFlat(weights: readonly number[]): boolean {
  for (const weight of weights) if (weight !== weights[0]) return false
  return true
}

/** "At its lowest level" is a product over causes: it goes into their weights. */
function absorb(model: Model, { effects }: Network, effect: number, weight: number): void {
  const { leak, links } = effects[effect]!
  const factor = weight * leak[0]!
  if (!(factor > 0))
    throw new DomainError('EVIDENCE_IMPOSSIBLE', `effect ${effect} is always present and must not be absent`, {
      value: effect,
    })
  model.logConstant += Math.log(factor)
  for (const { cause, levels } of links) optionAt(model, cause).weight *= levels[0]!
}

function cut(levels: readonly number[], top: number): readonly number[] {
  return levels.length === top + 1 ? levels : levels.slice(0, top + 1)
}

function activate(model: Model, { effects }: Network, effect: number, weights: readonly number[], top: number): void {
  const { leak, links } = effects[effect]!
  const item = model.items.length
  model.items.push({ effect, weights: cut(weights, top), leak: cut(leak, top) })
  for (const { cause, levels } of links) {
    const option = optionAt(model, cause)
    if (!(option.weight > 0)) continue
    const link = { item, levels: cut(levels, top) }
    option.links = option.links.length === 0 ? [link] : [...option.links, link]
  }
}

/** Splits evidence into what multiplies into the causes at once and what must be summed over. */
export function buildModel(network: Network, evidence: readonly Evidence[]): Model {
  const model = emptyModel(network)
  const byEffect = merged(network, evidence)
  for (let effect = 0; effect < byEffect.length; effect++) {
    const weights = byEffect[effect]
    if (!weights) continue
    checkWeights(effect, weights, network.effects[effect]!.leak.length)
    const top = highestLevel(weights)
    if (isFlat(weights)) model.logConstant += Math.log(weights[0]!)
    else if (top === 0) absorb(model, network, effect, weights[0]!)
    else activate(model, network, effect, weights, top)
  }
  return model
}

/** The option in which a cause is present. */
function optionAt({ variables, variableOf, optionOf }: Model, cause: number): Option {
  return variables[variableOf[cause]!]!.options[optionOf[cause]!]!
}
