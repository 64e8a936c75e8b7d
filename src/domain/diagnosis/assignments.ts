import { backgroundsOf } from './background.ts'
import type { Component } from './components.ts'
import type { Model, Weights } from './model.ts'
import { ownJoints } from './own-joints.ts'
import type { ComponentResult } from './pass.ts'
import { dot, higherOf } from './spread.ts'

/**
 * The other way through a component: over every assignment of its shared variables instead of every state of its items.
 * Given the shared variables the items are independent. It serves many findings tied by few causes, such as every radio
 * device of a house missing at once.
 */

/** Number of assignments of the shared variables, by options that are possible. */
export function assignmentCount(model: Model, shared: readonly number[]): number {
  return shared.reduce((product, variable) => {
    const { options, first } = model.variables[variable]!
    return product * options.filter((_, option) => model.weights[first + option]! > 0).length
  }, 1)
}

interface Leaf {
  /** Product of the weights of the chosen options. */
  weight: number
  /** Chosen option of each shared variable, by position. */
  chosen: readonly number[]
  /** Level that the chosen options bring about at each item, as a distribution. */
  reached: readonly (readonly number[])[]
}

/** Goes through every assignment with a weight; returns the counted updates. */
function visitAssignments(
  model: Model,
  { items, shared }: Component,
  weights: Weights,
  visit: (leaf: Leaf) => void,
): number {
  let work = 0
  const positionOf = new Map(items.map((item, position) => [item, position]))
  const descend = (depth: number, { weight, chosen, reached }: Leaf): void => {
    const variable = shared[depth]
    if (variable === undefined) {
      work += items.length
      visit({ weight, chosen, reached })
      return
    }
    const { options, first } = model.variables[variable]!
    options.forEach(({ links }, option) => {
      const share = weights[first + option]!
      if (!(share > 0)) return
      const next = links.length === 0 ? reached : reached.slice()
      for (const { item, levels } of links) {
        const position = positionOf.get(item)!
        ;(next as (readonly number[])[])[position] = higherOf(next[position]!, levels)
      }
      work += links.length
      descend(depth + 1, { weight: weight * share, chosen: [...chosen, option], reached: next })
    })
  }
  const start = items.map((item) => model.items[item]!.leak.map((_, level) => (level === 0 ? 1 : 0)))
  descend(0, { weight: 1, chosen: [], reached: start })
  return work
}

/** Value of each level of an item's background, when something else brings about the given levels. */
function valuesBeside(reached: readonly number[], weights: readonly number[]): number[] {
  let sum = 0
  const upTo = reached.map((share) => {
    sum += share
    return sum
  })
  const values = new Array<number>(weights.length)
  let above = 0
  for (let level = weights.length - 1; level >= 0; level--) {
    values[level] = weights[level]! * upTo[level]! + above
    above += reached[level]! * weights[level]!
  }
  return values
}

/** Weight of a component's evidence. */
export function evidenceByAssignment(
  model: Model,
  component: Component,
  weights: Weights,
): { evidence: number; work: number } {
  const backgrounds = backgroundsOf(model, component, weights)
  const observed = component.items.map((item) => model.items[item]!.weights)
  let evidence = 0
  const work = visitAssignments(model, component, weights, ({ weight, reached }) => {
    evidence += reached.reduce(
      (product, levels, position) => product * dot(higherOf(backgrounds[position]!.whole, levels), observed[position]!),
      weight,
    )
  })
  return { evidence, work }
}

/** Products of all numbers but one, for each, without dividing. */
function productsOfOthers(values: readonly number[]): number[] {
  const others = new Array<number>(values.length)
  let before = 1
  values.forEach((value, index) => {
    others[index] = before
    before *= value
  })
  let after = 1
  for (let index = values.length - 1; index >= 0; index--) {
    others[index]! *= after
    after *= values[index]!
  }
  return others
}

/** Evidence and the joint weight of every option of the component. */
export function jointsByAssignment(
  model: Model,
  component: Component,
  weights: Weights,
  joints: Float64Array,
): ComponentResult {
  const backgrounds = backgroundsOf(model, component, weights)
  const observed = component.items.map((item) => model.items[item]!.weights)
  const values = observed.map((levels) => levels.map(() => 0))
  const firsts = component.shared.map((variable) => model.variables[variable]!.first)
  component.shared.forEach((variable, position) => {
    joints.fill(0, firsts[position]!, firsts[position]! + model.variables[variable]!.options.length)
  })
  let evidence = 0
  const work = visitAssignments(model, component, weights, ({ weight, chosen, reached }) => {
    const beside = reached.map((levels, position) => valuesBeside(levels, observed[position]!))
    const likelihoods = beside.map((levels, position) => dot(backgrounds[position]!.whole, levels))
    const others = productsOfOthers(likelihoods)
    const total = likelihoods.reduce((product, likelihood) => product * likelihood, weight)
    evidence += total
    chosen.forEach((option, position) => {
      joints[firsts[position]! + option]! += total
    })
    beside.forEach((levels, position) =>
      levels.forEach((value, level) => {
        values[position]![level]! += weight * others[position]! * value
      }),
    )
  })
  const leak = component.items.map((item, position) => {
    const own = component.own[position]!
    return ownJoints(
      model,
      { item, own, background: backgrounds[position]!, value: values[position]! },
      weights,
      joints,
    )
  })
  return { evidence, leak, work }
}
