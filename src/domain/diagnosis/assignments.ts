import { wholesOf } from './background.ts'
import type { Component } from './components.ts'
import type { Model, Weights } from './model.ts'
import type { ComponentResult } from './pass.ts'
import { type Flat, flatRow, flatten, productsOfOthers, seen, Walk } from './walk.ts'

/**
 * The other way through a component: over every assignment of its shared variables instead of every state of its items.
 * Given the shared variables the items are independent. It serves many findings tied by few causes, such as every radio
 * device of a house missing at once.
 */

/** Number of assignments of the shared variables, by options that are possible. */
export function assignmentCount(model: Model, shared: readonly number[]): number {
  return shared.reduce((product, variable) => {
    const { options, first } = model.variables[variable]!
    let possible = 0
    for (let option = 0; option < options.length; option++) if (model.weights[first + option]! > 0) possible++
    return product * possible
  }, 1)
}

type Wholes = readonly Float64Array[]
const observedOf = (model: Model, { items }: Component) => items.map((item) => model.items[item]!.weights)

/** Calls back at every assignment with its weight and the weight of what each item was seen as. */
function eachLikelihood(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: Wholes,
  visit: (weight: number, likelihoods: Float64Array) => void,
): number {
  const observed = observedOf(model, component)
  const flat = flatten(model, component)
  const walk = new Walk(model, component, weights, flat, flatRow(flat, wholes))
  const likelihoods = new Float64Array(observed.length)
  walk.run((weight, at) => {
    for (let position = 0; position < observed.length; position++)
      likelihoods[position] = seen(walk.rows, at + flat.starts[position]!, observed[position]!)
    visit(weight, likelihoods)
  })
  return walk.work
}

/** Weight of a component's evidence. */
export function evidenceByAssignment(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: Wholes,
): { evidence: number; work: number } {
  let evidence = 0
  const work = eachLikelihood(model, component, weights, wholes, (weight, likelihoods) => {
    let product = weight
    for (let position = 0; position < likelihoods.length; position++) product *= likelihoods[position]!
    evidence += product
  })
  return { evidence, work }
}

/**
 * For some items the weight of all the others' evidence, assignment by assignment: what another part of an item alone
 * would come to follows from it without the others being gone through again.
 *
 * @param positions - positions of the items in the component
 * @returns one number for each of them, assignment after assignment
 */
export function othersByAssignment(
  model: Model,
  component: Component,
  wholes: Wholes,
  positions: readonly number[],
): Float64Array {
  const others = new Float64Array(component.items.length)
  const list = new Float64Array(assignmentCount(model, component.shared) * positions.length)
  let at = 0
  eachLikelihood(model, component, model.weights, wholes, (weight, likelihoods) => {
    productsOfOthers(likelihoods, others)
    for (const position of positions) list[at++] = weight * others[position]!
  })
  return list
}

/**
 * For each item of a component its own evidence together with that of all the others.
 * @param others - weight of the others' evidence, as `othersByAssignment` lists it for the same items
 */
export function ownEvidenceByAssignment(
  model: Model,
  component: Component,
  weights: Weights,
  others: Float64Array,
): Float64Array {
  const sums = new Float64Array(component.items.length)
  let at = 0
  eachLikelihood(model, component, weights, wholesOf(model, component, weights), (_, likelihoods) => {
    for (let position = 0; position < sums.length; position++) sums[position]! += others[at++]! * likelihoods[position]!
  })
  return sums
}

/** Value of each level of the items' backgrounds at one assignment, and the weight of what each item was seen as. */
class Beside {
  readonly values: Float64Array
  readonly likelihoods: Float64Array
  readonly others: Float64Array
  readonly #flat: Flat
  readonly #observed: Float64Array
  readonly #whole: Float64Array

  constructor(flat: Flat, observed: Float64Array, whole: Float64Array) {
    this.values = new Float64Array(flat.total)
    this.likelihoods = new Float64Array(flat.starts.length)
    this.others = new Float64Array(flat.starts.length)
    this.#flat = flat
    this.#observed = observed
    this.#whole = whole
  }

  /** @param at - where the levels begin that the chosen options bring about */
  read(rows: Float64Array, at: number): void {
    const { starts, sizes } = this.#flat
    for (let position = 0; position < starts.length; position++)
      this.likelihoods[position] = this.#readItem(rows, at, starts[position]!, sizes[position]!)
    productsOfOthers(this.likelihoods, this.others)
  }

  #readItem(rows: Float64Array, at: number, start: number, size: number): number {
    const [values, observed, whole] = [this.values, this.#observed, this.#whole]
    let upTo = 0
    for (let level = start; level < start + size; level++) {
      upTo += rows[at + level]!
      values[level] = observed[level]! * upTo
    }
    let above = 0
    let likelihood = 0
    for (let level = start + size - 1; level >= start; level--) {
      values[level]! += above
      above += rows[at + level]! * observed[level]!
      likelihood += whole[level]! * values[level]!
    }
    return likelihood
  }

  /** Adds the values of each item, each by the weight of all that stands beside it. */
  addTo(sum: Float64Array, weight: number): void {
    const { starts, sizes } = this.#flat
    for (let position = 0; position < starts.length; position++) {
      const share = weight * this.others[position]!
      const end = starts[position]! + sizes[position]!
      for (let level = starts[position]!; level < end; level++) sum[level]! += share * this.values[level]!
    }
  }
}

/** Evidence, the values of each background's levels, and the joint weight of every option of the shared variables. */
export function jointsByAssignment(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: Wholes,
  joints: Float64Array,
): Omit<ComponentResult, 'backgrounds'> {
  const flat = flatten(model, component)
  const beside = new Beside(flat, flatRow(flat, observedOf(model, component)), flatRow(flat, wholes))
  const nothing = flatRow(
    flat,
    component.items.map(() => [1]),
  )
  const walk = new Walk(model, component, weights, flat, nothing)
  const sums = new Float64Array(flat.total)
  const firsts = component.shared.map((variable) => model.variables[variable]!.first)
  component.shared.forEach((variable, position) => {
    joints.fill(0, firsts[position]!, firsts[position]! + model.variables[variable]!.options.length)
  })
  let evidence = 0
  walk.run((weight, at) => {
    beside.read(walk.rows, at)
    beside.addTo(sums, weight)
    const total = weight * beside.others[0]! * beside.likelihoods[0]!
    evidence += total
    for (let position = 0; position < firsts.length; position++)
      joints[firsts[position]! + walk.chosen[position]!]! += total
  })
  const values = Array.from(flat.starts, (start, position) => sums.subarray(start, start + flat.sizes[position]!))
  return { evidence, values, work: walk.work }
}
