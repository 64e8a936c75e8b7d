import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { dot, higherOf } from './spread.ts'

/** What bears on one item alone: its leak first, then the variables that reach no other item. */
export interface Background {
  /** Distribution over the item's levels that each part brings about, weights of its options included. */
  parts: (readonly number[])[]
  /** All parts together. */
  whole: readonly number[]
}

function lowest(size: number): number[] {
  const levels = new Array<number>(size).fill(0)
  levels[0] = 1
  return levels
}

/** Levels that an option brings about at an item; nothing when it has no link there. */
function levelsAt({ links }: Option, item: number): readonly number[] | undefined {
  for (const link of links) if (link.item === item) return link.levels
  return undefined
}

function contribution(model: Model, variable: number, item: number, weights: Weights): number[] {
  const { options } = model.variables[variable]!
  const size = model.items[item]!.leak.length
  if (size === 2 && options.length === 2) {
    const levels = levelsAt(options[1]!, item)!
    const weight = weights(variable, 1)
    return [weights(variable, 0) + weight * levels[0]!, weight * levels[1]!]
  }
  const sum = new Array<number>(size).fill(0)
  for (let position = 0; position < options.length; position++) {
    const weight = weights(variable, position)
    const levels = levelsAt(options[position]!, item)
    if (!levels) sum[0]! += weight
    else for (let level = 0; level < sum.length; level++) sum[level]! += weight * levels[level]!
  }
  return sum
}

/** The leak and the own variables of each item of a component, folded into one distribution. */
export function backgroundsOf(model: Model, component: Component, weights: Weights): Background[] {
  return component.items.map((item, position) => {
    const { leak } = model.items[item]!
    const parts: (readonly number[])[] = [leak]
    for (const variable of component.own[position]!) parts.push(contribution(model, variable, item, weights))
    return { parts, whole: parts.reduce(higherOf) }
  })
}

/** Product over the items of one vector each, for every state. */
export function outer(component: Component, vectors: readonly (readonly number[])[]): Float64Array {
  const product = new Float64Array(component.states)
  product[0] = 1
  vectors.forEach((vector, position) => {
    extend(product, component.strides[position]!, vector)
  })
  return product
}

function extend(product: Float64Array, stride: number, vector: readonly number[]): void {
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
    const values = whole.map((_, level) => {
      let sum = 0
      for (let state = 0; state < stride; state++) sum += below[state]! * summed[position]![level * stride + state]!
      return sum
    })
    extend(below, stride, whole)
    return values
  })
}

function sumOut(value: Float64Array, stride: number, vector: readonly number[]): Float64Array {
  const rest = new Float64Array(stride)
  for (let level = 0; level < vector.length; level++)
    for (let state = 0; state < stride; state++) rest[state]! += vector[level]! * value[level * stride + state]!
  return rest
}

/** Joint weights of the leak's levels and of the options of each own variable of one item. */
export interface OwnJoints {
  leak: number[]
  /** In the order of the own variables. */
  own: number[][]
}

/** The same for an item of two levels, without an array for each pair. */
function ownJointsOfTwo(
  model: Model,
  item: number,
  own: readonly number[],
  { parts }: Background,
  value: readonly number[],
  weights: Weights,
): OwnJoints {
  const [low, high] = value as [number, number]
  const lowAfter = new Float64Array(parts.length + 1)
  const highAfter = new Float64Array(parts.length + 1)
  lowAfter[parts.length] = 1
  for (let index = parts.length - 1; index >= 0; index--) {
    const [stay, move] = parts[index] as [number, number]
    lowAfter[index] = stay * lowAfter[index + 1]!
    highAfter[index] = move * (lowAfter[index + 1]! + highAfter[index + 1]!) + stay * highAfter[index + 1]!
  }
  let [lowBefore, highBefore] = parts[0] as [number, number]
  const joints = own.map((variable, position) => {
    const [afterLow, afterHigh] = [lowAfter[position + 2]!, highAfter[position + 2]!]
    const restLow = lowBefore * afterLow
    const restHigh = highBefore * (afterLow + afterHigh) + lowBefore * afterHigh
    const [stay, move] = parts[position + 1] as [number, number]
    highBefore = highBefore * (stay + move) + lowBefore * move
    lowBefore *= stay
    const { options } = model.variables[variable]!
    const joint: number[] = []
    for (let option = 0; option < options.length; option++) {
      const levels = levelsAt(options[option]!, item)
      const valued = levels
        ? restLow * levels[0]! * low + (restHigh * (levels[0]! + levels[1]!) + restLow * levels[1]!) * high
        : restLow * low + restHigh * high
      joint.push(weights(variable, option) * valued)
    }
    return joint
  })
  const [leakLow, leakHigh] = parts[0] as [number, number]
  const [restLow, restHigh] = [lowAfter[1]!, highAfter[1]!]
  return {
    leak: [leakLow * (restLow * low + restHigh * high), leakHigh * (restLow + restHigh) * high],
    own: joints,
  }
}

/** By prefix and suffix products, so that nothing is divided out. */
export function ownJoints(
  model: Model,
  item: number,
  own: readonly number[],
  background: Background,
  value: readonly number[],
  weights: Weights,
): OwnJoints {
  if (value.length === 2) return ownJointsOfTwo(model, item, own, background, value, weights)
  const { parts } = background
  const suffix: (readonly number[])[] = new Array(parts.length + 1)
  suffix[parts.length] = lowest(value.length)
  for (let index = parts.length - 1; index >= 0; index--) suffix[index] = higherOf(parts[index]!, suffix[index + 1]!)
  let prefix: readonly number[] = parts[0]!
  const joints = own.map((variable, position) => {
    const rest = higherOf(prefix, suffix[position + 2]!)
    prefix = higherOf(prefix, parts[position + 1]!)
    const { options } = model.variables[variable]!
    const joint: number[] = []
    for (let option = 0; option < options.length; option++) {
      const levels = levelsAt(options[option]!, item)
      joint.push(weights(variable, option) * dot(levels ? higherOf(rest, levels) : rest, value))
    }
    return joint
  })
  const leak = parts[0]!.map((share, level) => {
    const only = value.map((_, other) => (other === level ? share : 0))
    return dot(higherOf(suffix[1]!, only), value)
  })
  return { leak, own: joints }
}
