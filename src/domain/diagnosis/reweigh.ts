import { type Background, fold, roomLike } from './background.ts'
import type { Changes } from './cumulative.ts'
import { type Variable, type Weights, writePosterior } from './model.ts'
import { workComponent } from './pass.ts'
import type { Prepared } from './prepare.ts'

export interface Reweighed {
  /** Weight of the evidence after the change, as a share of its weight before. */
  probability: number
  posterior: number[]
  /** Causes that may have another posterior than before, in lists. */
  moved: readonly (readonly number[])[]
  work: number
}

/** What queries on top of prepared evidence use again and again. */
export interface QueryRoom {
  /** A copy of the model's weights: changed by a query and put back. */
  weights: Weights
  /** By variable: the one item that it reaches; -1 where it reaches none or several. */
  itemOf: Int32Array
  /** By item: whether what bears on it alone is changed. */
  isChanged: Uint8Array
  /** Causes in the variables of each component. */
  causesOf: number[][]
  /** Room for the background of each item under changed weights. */
  spare: Background[]
}

function roomOf({ model, partition, results, scratch }: Prepared): QueryRoom {
  if (scratch.room !== undefined) return scratch.room
  const itemOf = new Int32Array(model.variables.length).fill(-1)
  const causesOf = partition.components.map(({ items, shared, own }) => {
    own.forEach((variables, position) => {
      for (const variable of variables) itemOf[variable] = items[position]!
    })
    return [...shared, ...own.flat()].flatMap((variable) => model.causesOf[variable]!)
  })
  const isChanged = new Uint8Array(model.items.length)
  const spare: Background[] = []
  partition.components.forEach(({ items }, index) => {
    items.forEach((item, position) => {
      spare[item] = roomLike(results[index]!.backgrounds[position]!)
    })
  })
  scratch.room = { weights: model.weights.slice(), itemOf, isChanged, causesOf, spare }
  return scratch.room
}

/** What a query comes to while it is worked out. */
interface Found {
  probability: number
  posterior: number[]
  moved: (readonly number[])[]
}

/** A cause that is loose by itself: its odds are multiplied. Returns how the weight of its variable changes. */
function moveOdds(posterior: number[], cause: number, factor: number): number {
  const then = posterior[cause]! * factor
  const total = 1 - posterior[cause]! + then
  if (total > 0) posterior[cause] = then / total
  return total
}

function totalOf({ options, first }: Variable, weights: Weights): number {
  let total = 0
  for (let option = 0; option < options.length; option++) total += weights[first + option]!
  return total
}

/**
 * Puts factors on the weights of causes; what is loose is worked out at once where it excludes nothing, the rest is noted by
 * component and by loose variable, each once.
 */
function apply({ model, partition }: Prepared, room: QueryRoom, { causes, factors }: Changes, found: Found) {
  const { variableOf, weightOf, causesOf } = model
  const components: number[] = []
  const loose: number[] = []
  const alone: number[] = []
  for (let at = 0; at < causes.length; at++) {
    const cause = causes[at]!
    const variable = variableOf[cause]!
    const component = partition.componentOf[variable]!
    if (component < 0 && causesOf[variable]!.length === 1) {
      found.probability *= moveOdds(found.posterior, cause, factors[at]!)
      alone.push(cause)
      continue
    }
    room.weights[weightOf[cause]!]! *= factors[at]!
    if (component < 0) {
      if (!loose.includes(variable)) loose.push(variable)
      continue
    }
    if (!components.includes(component)) components.push(component)
    const item = room.itemOf[variable]!
    if (item >= 0) room.isChanged[item] = 1
  }
  if (alone.length > 0) found.moved.push(alone)
  return { components, loose }
}

/** Puts the weights of causes back. */
function restore({ model }: Prepared, { weights, isChanged }: QueryRoom, { causes }: Changes): void {
  for (const cause of causes) {
    const at = model.weightOf[cause]!
    weights[at] = model.weights[at]!
  }
  isChanged.fill(0)
}

/** Backgrounds under other weights: what no change bears on is kept. */
function foldedAnew(known: readonly Background[], items: readonly number[], { weights, isChanged, spare }: QueryRoom) {
  const backgrounds = known.slice()
  for (let position = 0; position < items.length; position++) {
    const item = items[position]!
    if (isChanged[item] === 0) continue
    fold(spare[item]!, weights)
    backgrounds[position] = spare[item]!
  }
  return backgrounds
}

/**
 * The evidence and the posteriors after the weight of some causes is multiplied by factors.
 *
 * Only components and loose variables that a changed cause belongs to are worked through again.
 */
export function reweigh(prepared: Prepared, changes: Changes): Reweighed {
  const { model, partition, results, inference } = prepared
  const room = roomOf(prepared)
  const { weights, causesOf } = room
  const found: Found = { probability: 1, posterior: inference.posterior.slice(), moved: [] }
  const { posterior, moved } = found
  const { components, loose } = apply(prepared, room, changes, found)
  let work = 0
  for (const number of loose) {
    const variable = model.variables[number]!
    found.probability *= writePosterior(posterior, variable, weights) / totalOf(variable, model.weights)
    moved.push(model.causesOf[number]!)
  }
  for (const index of components) {
    const component = partition.components[index]!
    const { backgrounds, evidence } = results[index]!
    const folded = foldedAnew(backgrounds, component.items, room)
    const result = workComponent(model, component, weights, posterior, folded)
    found.probability *= result.evidence / evidence
    work += result.work
    moved.push(causesOf[index]!)
  }
  restore(prepared, room, changes)
  if (found.probability > 0) return { ...found, work }
  return { probability: 0, posterior: inference.posterior, moved: [], work }
}

/** How the priors of each changed variable add up after the change: what they must be divided by. */
function normaliserOf({ model, network }: Prepared, { causes, factors }: Changes): number {
  const totals = new Map<number, number>()
  let normaliser = 1
  for (let at = 0; at < causes.length; at++) {
    const cause = causes[at]!
    const variable = model.variableOf[cause]!
    const change = network.prior[cause]! * (factors[at]! - 1)
    if (model.causesOf[variable]!.length === 1) normaliser *= 1 + change
    else totals.set(variable, (totals.get(variable) ?? 1) + change)
  }
  for (const total of totals.values()) normaliser *= total
  return normaliser
}

/**
 * The evidence and the posteriors if the prior odds of some causes were multiplied by factors: what another circumstance
 * would mean for everything known so far.
 *
 * new weight = weight * factor / (sum over the variable of prior * factor)
 *
 * @param changes - 0 removes a cause
 * @returns `probability` is P(evidence | factors) / P(evidence)
 */
export function reweighOdds(prepared: Prepared, changes: Changes): Reweighed {
  const changed = reweigh(prepared, changes)
  return { ...changed, probability: changed.probability / normaliserOf(prepared, changes) }
}
