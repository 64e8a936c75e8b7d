import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { higherInto, raise } from './spread.ts'

/** What bears on one item alone: its leak, and the variables that reach no other item. */
export interface Background {
  /** Distribution over the item's levels that all of them bring about, weights of options included. */
  whole: Float64Array
  /** The same without the leak. */
  withoutLeak: Float64Array
  /** For every option of every own variable, one after the other: the same while that option holds, its own weight left out. */
  given: Float64Array
}

/** Levels that an option brings about at an item; nothing when it has no link there. */
function levelsAt({ links }: Option, item: number): readonly number[] | undefined {
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

/** What each own variable brings about, one after the other. */
function partsOf(model: Model, item: number, own: readonly number[], weights: Weights): Float64Array {
  const size = model.items[item]!.leak.length
  const parts = new Float64Array(own.length * size)
  for (let position = 0; position < own.length; position++)
    contribute(model, own[position]!, item, weights, parts, position * size)
  return parts
}

/** The leak and the own variables of an item, folded into one distribution. */
function wholeOf(model: Model, item: number, own: readonly number[], weights: Weights): Float64Array {
  const whole = new Float64Array(model.items[item]!.leak)
  const size = whole.length
  const parts = partsOf(model, item, own, weights)
  for (let at = 0; at < parts.length; at += size) higherInto(whole, 0, whole, 0, parts, at, size)
  return whole
}

/** For each part what all parts after it bring about, and a last one that brings about nothing. */
function suffixesOf(parts: Float64Array, size: number): Float64Array {
  const suffix = new Float64Array(parts.length + size)
  suffix[parts.length] = 1
  for (let at = parts.length - size; at >= 0; at -= size) higherInto(suffix, at, parts, at, suffix, at + size, size)
  return suffix
}

function optionCount(model: Model, own: readonly number[]): number {
  let count = 0
  for (const variable of own) count += model.variables[variable]!.options.length
  return count
}

/** By prefix and suffix products, so that nothing is divided out. */
function backgroundOf(model: Model, item: number, own: readonly number[], weights: Weights): Background {
  const whole = new Float64Array(model.items[item]!.leak)
  const size = whole.length
  const parts = partsOf(model, item, own, weights)
  const suffix = suffixesOf(parts, size)
  const given = new Float64Array(optionCount(model, own) * size)
  let to = 0
  for (let position = 0; position < own.length; position++) {
    const at = position * size
    for (const option of model.variables[own[position]!]!.options) {
      const levels = levelsAt(option, item)
      higherInto(given, to, whole, 0, suffix, at + size, size)
      if (levels !== undefined) raise(given, to, levels)
      to += size
    }
    higherInto(whole, 0, whole, 0, parts, at, size)
  }
  return { whole, withoutLeak: suffix.subarray(0, size), given }
}

/** The backgrounds of a component's items folded, nothing else. */
export const wholesOf = (model: Model, { items, own }: Component, weights: Weights): Float64Array[] =>
  items.map((item, position) => wholeOf(model, item, own[position]!, weights))

/** The background of each item of a component. */
export const backgroundsOf = (model: Model, { items, own }: Component, weights: Weights): Background[] =>
  items.map((item, position) => backgroundOf(model, item, own[position]!, weights))

/** The same after the weights of some variables have changed: what none of them bears on is kept. */
export function refolded(
  model: Model,
  { items, own }: Component,
  weights: Weights,
  known: readonly Background[],
  changed: readonly number[],
): readonly Background[] {
  const folded = known.slice()
  for (const variable of changed) {
    const position = items.indexOf(itemReached(model, variable))
    if (!own[position]?.includes(variable) || folded[position] !== known[position]) continue
    folded[position] = backgroundOf(model, items[position]!, own[position]!, weights)
  }
  return folded
}

/** An item that a variable reaches; -1 when there is none. */
function itemReached(model: Model, variable: number): number {
  for (const { links } of model.variables[variable]!.options) if (links.length > 0) return links[0]!.item
  return -1
}

/**
 * Writes the joint weights of the options of an item's own variables.
 * @param value - value of each level that the background may have
 */
export function ownJoints(
  model: Model,
  own: readonly number[],
  { given }: Background,
  value: ArrayLike<number>,
  weights: Weights,
  joints: Float64Array,
): void {
  let at = 0
  for (const variable of own) {
    const { options, first } = model.variables[variable]!
    for (let option = first; option < first + options.length; option++) {
      let sum = 0
      for (let level = 0; level < value.length; level++) sum += given[at++]! * value[level]!
      joints[option] = weights[option]! * sum
    }
  }
}

/** Joint weight of "the leak reached level b" for each b. */
export function leakJoints(leak: readonly number[], { withoutLeak }: Background, value: ArrayLike<number>): number[] {
  return leak.map((share, level) => {
    let upTo = 0
    let above = 0
    for (let other = 0; other < leak.length; other++)
      if (other <= level) upTo += withoutLeak[other]!
      else above += withoutLeak[other]! * value[other]!
    return share * (upTo * value[level]! + above)
  })
}
