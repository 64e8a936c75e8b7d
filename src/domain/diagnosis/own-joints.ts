import { type Background, levelsAt } from './background.ts'
import type { Model, Weights } from './model.ts'
import { dot, higherInto } from './spread.ts'

/** An item with its own variables and their background, whose joint weights are asked for. */
export interface Owned {
  item: number
  own: readonly number[]
  background: Background
  /** Value of each level that the background may have. */
  value: readonly number[]
}

/** The first few of an array, as a small array of its own: cheaper than a typed one. */
function numbers(from: Float64Array, size: number): number[] {
  const list: number[] = []
  for (let at = 0; at < size; at++) list.push(from[at]!)
  return list
}

/** For each part what all parts after it bring about, and a last one that brings about nothing. */
function suffixesOf(parts: Float64Array, size: number): Float64Array {
  const suffix = new Float64Array(parts.length + size)
  suffix[parts.length] = 1
  for (let at = parts.length - size; at >= 0; at -= size) higherInto(suffix, at, parts, at, suffix, at + size, size)
  return suffix
}

/** Joint weight of "the leak reached level b" for each b, when the rest brings about `suffix` at `size`. */
function leakJoints(parts: Float64Array, suffix: Float64Array, value: readonly number[]): number[] {
  const size = value.length
  const joints: number[] = []
  for (let level = 0; level < size; level++) {
    let upTo = 0
    let above = 0
    for (let other = 0; other < size; other++)
      if (other <= level) upTo += suffix[size + other]!
      else above += suffix[size + other]! * value[other]!
    joints.push(parts[level]! * (upTo * value[level]! + above))
  }
  return joints
}

/**
 * Joint weights of the options of an item's own variables, written into `joints`, and of its leak's levels, returned.
 * By prefix and suffix products, so that nothing is divided out.
 */
export function ownJoints(model: Model, owned: Owned, weights: Weights, joints: Float64Array): number[] {
  const { item, own, value } = owned
  const { parts } = owned.background
  const size = value.length
  const suffix = suffixesOf(parts, size)
  const prefix = numbers(parts, size)
  const rest = numbers(parts, size)
  const reached = numbers(parts, size)
  for (let position = 0; position < own.length; position++) {
    const at = (position + 1) * size
    higherInto(rest, 0, prefix, 0, suffix, at + size, size)
    higherInto(prefix, 0, prefix, 0, parts, at, size)
    const unmoved = dot(rest, value)
    const { options, first } = model.variables[own[position]!]!
    for (let option = 0; option < options.length; option++) {
      const levels = levelsAt(options[option]!, item)
      if (levels !== undefined) higherInto(reached, 0, rest, 0, levels, 0, size)
      joints[first + option] = weights[first + option]! * (levels === undefined ? unmoved : dot(reached, value))
    }
  }
  return leakJoints(parts, suffix, value)
}
