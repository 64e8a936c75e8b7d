import { DomainError } from '../errors.ts'
import { atMost } from './cumulative.ts'
import type { Evidence, Network } from './network.ts'

/** A link of one option into one active item. */
export interface OptionLink {
  item: number
  levels: readonly number[]
}
/** One state of a variable and what it brings about. Option 0 is "none of them present". */
export interface Option {
  /** The cause that is present in this option; -1 for none. */
  cause: number
  links: readonly OptionLink[]
}
export interface Variable {
  options: readonly Option[]
  /** Where the weights of its options begin. */
  first: number
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
  /** Weight of every option: at `first` of its variable, plus its position there. */
  weights: Weights
  items: Item[]
  /** Variables with a link into an item, ascending. */
  linked: number[]
  /** Variables into whose weights something was absorbed, each once; and whether each variable is one of them. */
  touched: number[]
  isTouched: Uint8Array
  /** Of variables into which something was absorbed: sum of the weights of their options; 0 while it is not worked out. */
  totals: Float64Array
  /** Variable of each cause, and its option in there. */
  variableOf: Int32Array
  optionOf: Int32Array
  /** Where the weight of each cause stands. */
  weightOf: Int32Array
  /** Causes of each variable. */
  causesOf: readonly (readonly number[])[]
  /** ln of the constant factor gathered while absorbing. */
  logConstant: number
}

/** Weights of all options: the model's own, or those of a query on top of it. */
export type Weights = Float64Array

const NO_LINKS: readonly OptionLink[] = []
const NONE: Option = { cause: -1, links: NO_LINKS }

type Layout = Pick<Model, 'variables' | 'variableOf' | 'optionOf' | 'weightOf' | 'causesOf'>

/** Causes that exclude each other share a variable; every other cause has its own. */
function layOut(causes: number, groups: Network['groups']): Layout {
  const variableOf = new Int32Array(causes).fill(-1)
  const optionOf = new Int32Array(causes).fill(1)
  const weightOf = new Int32Array(causes)
  const variables: Variable[] = []
  const causesOf: (readonly number[])[] = []
  let first = 0
  const add = (members: readonly number[]) => {
    const options = [NONE]
    for (const cause of members) {
      variableOf[cause] = variables.length
      optionOf[cause] = options.length
      weightOf[cause] = first + options.length
      options.push({ cause, links: NO_LINKS })
    }
    variables.push({ options, first })
    causesOf.push(members)
    first += options.length
  }
  for (const group of groups) add(group)
  for (let cause = 0; cause < causes; cause++) if (variableOf[cause]! < 0) add([cause])
  return { variables, variableOf, optionOf, weightOf, causesOf }
}

const laidOut = new WeakMap<Network['groups'], Layout>()

/** The layout of a network; kept with its groups, which most networks share. */
function layoutOf({ prior, groups }: Network): Layout {
  const known = laidOut.get(groups)
  if (known?.variableOf.length === prior.length) return known
  const layout = layOut(prior.length, groups)
  laidOut.set(groups, layout)
  return layout
}

const started = new WeakMap<Network['prior'], { groups: Network['groups']; model: Model }>()

/** The model of a network without evidence; kept with its priors and never changed. */
function emptyModel(network: Network): Model {
  const known = started.get(network.prior)
  if (known?.groups === network.groups) return known.model
  const layout = layoutOf(network)
  const { variables } = layout
  const weights = new Float64Array(variables.length + network.prior.length)
  for (const { options, first } of variables) {
    weights[first] = 1
    for (let option = 1; option < options.length; option++) {
      const prior = network.prior[options[option]!.cause]!
      weights[first]! -= prior
      weights[first + option] = prior
    }
  }
  const isTouched = new Uint8Array(variables.length)
  const totals = new Float64Array(variables.length)
  const model = { ...layout, weights, items: [], linked: [], touched: [], isTouched, totals, logConstant: 0 }
  started.set(network.prior, { groups: network.groups, model })
  return model
}

function checkEffect({ effects }: Network, effect: number): void {
  if (effects[effect] !== undefined) return
  throw new DomainError('UNKNOWN_ID', `evidence must name one of ${effects.length} effects, got ${effect}`, {
    value: effect,
  })
}

/** Evidence by effect, ascending: several items on one effect are one item whose weights multiply. */
function merged(network: Network, evidence: readonly Evidence[]): Evidence[] {
  const ascending = evidence.toSorted((a, b) => a.effect - b.effect)
  const items: Evidence[] = []
  for (const item of ascending) {
    const { effect, weights } = item
    const last = items.at(-1)
    if (last?.effect !== effect) {
      checkEffect(network, effect)
      items.push(item)
    } else items[items.length - 1] = { effect, weights: last.weights.map((weight, level) => weight * weights[level]!) }
  }
  return items
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
  const absent = effects[effect]!
  const factor = weight * absent.leak[0]!
  if (!(factor > 0))
    throw new DomainError('EVIDENCE_IMPOSSIBLE', `effect ${effect} is always present and must not be absent`, {
      value: effect,
    })
  model.logConstant += Math.log(factor)
  const { weights, weightOf, variableOf, touched, isTouched, totals } = model
  const { causes, factors } = atMost(absent, 0)
  for (let at = 0; at < causes.length; at++) {
    const cause = causes[at]!
    weights[weightOf[cause]!]! *= factors[at]!
    const variable = variableOf[cause]!
    totals[variable] = 0
    if (isTouched[variable] === 1) continue
    isTouched[variable] = 1
    touched.push(variable)
  }
}

function cut(levels: readonly number[], top: number): readonly number[] {
  return levels.length === top + 1 ? levels : levels.slice(0, top + 1)
}

function activate(model: Model, { effects }: Network, effect: number, weights: readonly number[], top: number): void {
  const { leak, links } = effects[effect]!
  const item = model.items.length
  model.items.push({ effect, weights: cut(weights, top), leak: cut(leak, top) })
  for (const { cause, levels } of links) {
    const number = model.variableOf[cause]!
    const { options, first } = model.variables[number]!
    const at = model.optionOf[cause]!
    if (!(model.weights[first + at]! > 0)) continue
    const known = options[at]!.links
    const link = { item, levels: cut(levels, top) }
    const changed = options.slice()
    changed[at] = { cause, links: known.length === 0 ? [link] : [...known, link] }
    model.variables[number] = { options: changed, first }
    if (options.every(({ links: none }) => none.length === 0)) model.linked.push(number)
  }
}

/** A copy that more evidence can be put into; weights are copied only where something will be absorbed. */
function copyOf(base: Model, isAbsorbing: boolean): Model {
  const { variables, items, linked, weights, touched, isTouched, totals } = base
  const copy = { ...base, variables: variables.slice(), items: items.slice(), linked: linked.slice() }
  return isAbsorbing
    ? {
        ...copy,
        weights: weights.slice(),
        touched: touched.slice(),
        isTouched: isTouched.slice(),
        totals: totals.slice(),
      }
    : copy
}

/**
 * Splits evidence into what multiplies into the causes at once and what must be summed over.
 * @param base - a model of the same network with evidence on other effects, which stays as it is
 */
export function buildModel(network: Network, evidence: readonly Evidence[], base = emptyModel(network)): Model {
  const items = merged(network, evidence)
  const model = copyOf(base, isAnyAbsorbed(items))
  for (const { effect, weights } of items) {
    checkWeights(effect, weights, network.effects[effect]!.leak.length)
    const top = highestLevel(weights)
    if (isFlat(weights)) model.logConstant += Math.log(weights[0]!)
    else if (top === 0) absorb(model, network, effect, weights[0]!)
    else activate(model, network, effect, weights, top)
  }
  model.linked.sort((a, b) => a - b)
  return model
}

function isAnyAbsorbed(items: readonly Evidence[]): boolean {
  for (const { weights } of items) if (highestLevel(weights) === 0) return true
  return false
}

/** Posterior of each cause of a variable from the joint weights of its options; returns their sum. */
export function writePosterior(posterior: number[], { options, first }: Variable, joints: Float64Array): number {
  let total = 0
  for (let option = 0; option < options.length; option++) total += joints[first + option]!
  if (total > 0)
    for (let option = 1; option < options.length; option++)
      posterior[options[option]!.cause] = joints[first + option]! / total
  return total
}
