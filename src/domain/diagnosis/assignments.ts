import type { Component } from './components.ts'
import { type Kinds, kindsOf } from './kinds.ts'
import type { Model, Weights } from './model.ts'
import type { ComponentResult } from './pass.ts'
import { type Flat, flatRow, flatten, productOf, productsOfOthers, seen, Walk } from './walk.ts'

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

/** Calls back at every assignment with its weight and the weight of what an item of each kind was seen as. */
function eachLikelihood(
  model: Model,
  component: Component,
  weights: Weights,
  { wholes, kinds }: { wholes: Wholes; kinds: Kinds },
  visit: (weight: number, likelihoods: Float64Array) => void,
): number {
  const flat = flatten(model, component, kinds)
  const walk = new Walk(model, component, weights, flat, flatRow(flat, wholes))
  const observed = observedOf(model, component)
  const likelihoods = new Float64Array(kinds.first.length)
  walk.run((weight, at) => {
    for (let kind = 0; kind < likelihoods.length; kind++)
      likelihoods[kind] = seen(walk.rows, at + flat.starts[kind]!, observed[kinds.first[kind]!]!)
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
  const kinds = kindsOf(component.alike, wholes)
  let evidence = 0
  const work = eachLikelihood(model, component, weights, { wholes, kinds }, (weight, likelihoods) => {
    evidence += weight * productOf(likelihoods, kinds.counts)
  })
  return { evidence, work }
}

/**
 * For an item of each kind the weight of all the other items' evidence, assignment by assignment: what another part of an
 * item alone would come to follows from it without the others being gone through again.
 *
 * @returns one number for each kind, assignment after assignment
 */
export function othersByAssignment(
  model: Model,
  component: Component,
  wholes: Wholes,
): { kinds: Kinds; list: Float64Array } {
  const kinds = kindsOf(component.alike, wholes)
  const others = new Float64Array(kinds.first.length)
  const list = new Float64Array(assignmentCount(model, component.shared) * others.length)
  let at = 0
  eachLikelihood(model, component, model.weights, { wholes, kinds }, (weight, likelihoods) => {
    productsOfOthers(likelihoods, kinds.counts, others)
    for (let kind = 0; kind < others.length; kind++) list[at++] = weight * others[kind]!
  })
  return { kinds, list }
}

/**
 * For each item of a part of a component its own evidence together with that of all the other items of the whole.
 * @param others - as `othersByAssignment` lists it for the whole component; of each item of the part the kind there, and its
 * background
 */
export function ownEvidenceByAssignment(
  model: Model,
  part: Component,
  weights: Weights,
  {
    kinds,
    list,
    kindsOfPart,
    wholes,
  }: { kinds: Kinds; list: Float64Array; kindsOfPart: readonly number[]; wholes: Wholes },
): number[] {
  const own = kindsOf(
    part.alike.map((number, position) => number * kinds.first.length + kindsOfPart[position]!),
    wholes,
  )
  const sums = new Float64Array(own.first.length)
  let at = 0
  eachLikelihood(model, part, weights, { wholes, kinds: own }, (_, likelihoods) => {
    for (let kind = 0; kind < sums.length; kind++)
      sums[kind]! += list[at + kindsOfPart[own.first[kind]!]!]! * likelihoods[kind]!
    at += kinds.first.length
  })
  return own.of.map((kind) => sums[kind]!)
}

/** Value of each level of the backgrounds at one assignment, and the weight of what an item of each kind was seen as. */
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
    productsOfOthers(this.likelihoods, this.#flat.kinds.counts, this.others)
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

  /** Adds the values of an item of each kind, each by the weight of all that stands beside it. */
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
  const flat = flatten(model, component, kindsOf(component.alike, wholes))
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
  const values = Array.from(flat.starts, (start, kind) => sums.subarray(start, start + flat.sizes[kind]!))
  return { evidence, values: flat.kinds.of.map((kind) => values[kind]!), work: walk.work }
}
