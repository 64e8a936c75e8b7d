import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { higherInto } from './spread.ts'

/** What bears on one item alone: its leak first, then the variables that reach no other item. */
export interface Background {
  /** Distribution over the item's levels that each part brings about, one after the other, weights of options included. */
  parts: Float64Array
  /** All parts together. */
  whole: readonly number[]
}

/** Levels that an option brings about at an item; nothing when it has no link there. */
export function levelsAt({ links }: Option, item: number): readonly number[] | undefined {
  for (const link of links) if (link.item === item) return link.levels
  return undefined
}

/** Writes what a variable brings about at an item. */
function contribute(model: Model, variable: number, item: number, weights: Weights, parts: Float64Array, at: number) {
  const { options, first } = model.variables[variable]!
  for (let option = 0; option < options.length; option++) {
    const weight = weights[first + option]!
    const levels = levelsAt(options[option]!, item)
    if (levels === undefined) parts[at]! += weight
    else for (let level = 0; level < levels.length; level++) parts[at + level]! += weight * levels[level]!
  }
}

function backgroundOf(model: Model, item: number, own: readonly number[], weights: Weights): Background {
  const { leak } = model.items[item]!
  const size = leak.length
  const parts = new Float64Array((own.length + 1) * size)
  parts.set(leak)
  const whole = leak.slice()
  for (let position = 0; position < own.length; position++) {
    const at = (position + 1) * size
    contribute(model, own[position]!, item, weights, parts, at)
    higherInto(whole, 0, whole, 0, parts, at, size)
  }
  return { parts, whole }
}

/** The leak and the own variables of each item of a component, folded into one distribution. */
export const backgroundsOf = (model: Model, { items, own }: Component, weights: Weights): Background[] =>
  items.map((item, position) => backgroundOf(model, item, own[position]!, weights))

/** Product over the items of one vector each, for every state. */
export function outer(component: Component, vectors: readonly ArrayLike<number>[]): Float64Array {
  const product = new Float64Array(component.states)
  product[0] = 1
  vectors.forEach((vector, position) => {
    extend(product, component.strides[position]!, vector)
  })
  return product
}

function extend(product: Float64Array, stride: number, vector: ArrayLike<number>): void {
  for (let level = vector.length - 1; level >= 0; level--)
    for (let state = 0; state < stride; state++) product[level * stride + state] = product[state]! * vector[level]!
}

/**
 * For each item the value of each level its background may have, the backgrounds of the other items summed over:
 * items above it are summed out from the top, items below it are kept as a product that grows.
 */
export function valuesOfLevels(
  component: Component,
  backgrounds: readonly Background[],
  value: Float64Array,
): number[][] {
  const { strides, states } = component
  const summed: Float64Array[] = new Array(backgrounds.length)
  let rest = value
  for (let position = backgrounds.length - 1; position >= 0; position--) {
    summed[position] = rest
    rest = sumOut(rest, strides[position]!, backgrounds[position]!.whole)
  }
  const below = new Float64Array(states)
  below[0] = 1
  return backgrounds.map(({ whole }, position) => {
    const stride = strides[position]!
    const values: number[] = []
    for (let level = 0; level < whole.length; level++) {
      let sum = 0
      for (let state = 0; state < stride; state++) sum += below[state]! * summed[position]![level * stride + state]!
      values.push(sum)
    }
    extend(below, stride, whole)
    return values
  })
}

function sumOut(value: Float64Array, stride: number, vector: ArrayLike<number>): Float64Array {
  const rest = new Float64Array(stride)
  for (let level = 0; level < vector.length; level++)
    for (let state = 0; state < stride; state++) rest[state]! += vector[level]! * value[level * stride + state]!
  return rest
}
