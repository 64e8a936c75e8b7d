import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { higherInto } from './spread.ts'

/** The variables that reach one item alone, and what their options bring about there: laid out for folding. */
interface Own {
  /** Levels of the item. */
  size: number
  /** By variable: where the weights of its options begin, and how many there are. */
  firsts: readonly number[]
  counts: readonly number[]
  /** Cause of each option of each variable, one after the other; -1 for "none of them". */
  causes: readonly number[]
  /** Levels that each of these options brings about; the lowest for sure where it has no link. */
  rows: Float64Array
}

/** What bears on one item alone: its leak, and the variables that reach no other item. */
export interface Background {
  own: Own
  leak: readonly number[]
  /** Distribution over the item's levels that the leak and the variables before each bring about; after the last, all. */
  prefix: Float64Array
  /** Distribution that all of them bring about, weights of options included. */
  whole: Float64Array
}

/** Levels that an option brings about at an item; nothing when it has no link there. */
function levelsAt({ links }: Option, item: number): readonly number[] | undefined {
  for (const link of links) if (link.item === item) return link.levels
  return undefined
}

function layOut(model: Model, item: number, variables: readonly number[]): Own {
  const size = model.items[item]!.leak.length
  const firsts: number[] = []
  const counts: number[] = []
  const causes: number[] = []
  for (const variable of variables) {
    const { first, options } = model.variables[variable]!
    firsts.push(first)
    counts.push(options.length)
    for (const { cause } of options) causes.push(cause)
  }
  const rows = new Float64Array(causes.length * size)
  let at = 0
  for (const variable of variables)
    for (const option of model.variables[variable]!.options) {
      const levels = levelsAt(option, item)
      if (levels === undefined) rows[at] = 1
      else for (let level = 0; level < size; level++) rows[at + level] = levels[level]!
      at += size
    }
  return { size, firsts, counts, causes, rows }
}

/** Room for the levels of one item. */
let part = new Float64Array(16)
let pulled = new Float64Array(16)

function roomFor(size: number): void {
  if (part.length >= size) return
  part = new Float64Array(size)
  pulled = new Float64Array(size)
}

/** Writes what one variable brings about into `part`. */
function readPart({ size, firsts, counts, rows }: Own, position: number, option: number, weights: Weights): void {
  for (let level = 0; level < size; level++) part[level] = 0
  let row = option * size
  const end = firsts[position]! + counts[position]!
  for (let at = firsts[position]!; at < end; at++) {
    const weight = weights[at]!
    for (let level = 0; level < size; level++) part[level]! += weight * rows[row++]!
  }
}

/** A background with nothing in it yet. */
const unfolded = (own: Own, leak: readonly number[]): Background => ({
  own,
  leak,
  prefix: new Float64Array((own.counts.length + 1) * own.size),
  whole: new Float64Array(own.size),
})

function foldTwo({ own, leak, prefix }: Background, weights: Weights): void {
  const { firsts, counts, rows } = own
  let lowest = leak[0]!
  let higher = leak[1]!
  prefix[0] = lowest
  prefix[1] = higher
  for (let position = 0, row = 0; position < counts.length; position++) {
    let stay = 0
    let move = 0
    for (let at = firsts[position]!, end = at + counts[position]!; at < end; at++, row += 2) {
      stay += weights[at]! * rows[row]!
      move += weights[at]! * rows[row + 1]!
    }
    higher = higher * (stay + move) + lowest * move
    lowest *= stay
    prefix[2 * position + 2] = lowest
    prefix[2 * position + 3] = higher
  }
}

function foldMany({ own, leak, prefix }: Background, weights: Weights): void {
  const { size, counts } = own
  roomFor(size)
  prefix.set(leak)
  for (let position = 0, option = 0; position < counts.length; position++) {
    readPart(own, position, option, weights)
    higherInto(prefix, (position + 1) * size, prefix, position * size, part, 0, size)
    option += counts[position]!
  }
}

/** Folds anew, into the room of a background that nobody else reads. */
export function fold(background: Background, weights: Weights): void {
  const { own, prefix, whole } = background
  if (own.size === 2) foldTwo(background, weights)
  else foldMany(background, weights)
  for (let level = 0, at = own.counts.length * own.size; level < own.size; level++, at++) whole[level] = prefix[at]!
}

function folded(own: Own, leak: readonly number[], weights: Weights): Background {
  const background = unfolded(own, leak)
  fold(background, weights)
  return background
}

/** The background of each item of a component. */
export const backgroundsOf = (model: Model, { items, own }: Component, weights: Weights): Background[] =>
  items.map((item, position) => folded(layOut(model, item, own[position]!), model.items[item]!.leak, weights))

/** Room for the same with other weights. */
export const roomLike = ({ own, leak }: Background): Background => unfolded(own, leak)

/**
 * Distribution over the item's levels when only what is removed may have brought about more than the lowest: all else that
 * does so has no weight.
 *
 * @param leak - what of the leak counts
 * @param fixed - for each cause the probability that it is removed; every cause stays where it is left out
 */
export function blockedWhole(
  { own }: Background,
  leak: readonly number[],
  weights: Weights,
  fixed?: ArrayLike<number>,
): Float64Array {
  const { size, firsts, counts, causes, rows } = own
  roomFor(size)
  const whole = new Float64Array(size)
  for (let level = 0; level < size; level++) whole[level] = leak[level]!
  for (let position = 0, option = 0; position < counts.length; position++) {
    for (let level = 0; level < size; level++) part[level] = 0
    for (let at = firsts[position]!, end = at + counts[position]!; at < end; at++, option++) {
      const weight = weights[at]!
      const cause = causes[option]!
      const share = fixed === undefined || cause < 0 ? 0 : fixed[cause]!
      part[0]! += weight * rows[option * size]!
      if (share > 0)
        for (let level = 1; level < size; level++) part[level]! += weight * share * rows[option * size + level]!
    }
    higherInto(whole, 0, whole, 0, part, 0, size)
  }
  return whole
}

/** Expected value of the higher of a level drawn from a prefix and the one that an option brings about. */
function expected(prefix: Float64Array, at: number, rows: Float64Array, row: number, size: number): number {
  let sum = 0
  let below = 0
  let reach = 0
  for (let level = 0; level < size; level++) {
    const mass = prefix[at + level]!
    const share = rows[row + level]!
    reach += share
    sum += (mass * reach + below * share) * pulled[level]!
    below += mass
  }
  return sum
}

/** From the value of each level with a variable to the value without it. */
function pull(size: number): void {
  let above = 0
  for (let level = size - 1; level >= 0; level--) {
    let reach = 0
    for (let lower = 0; lower <= level; lower++) reach += part[lower]!
    const value = pulled[level]!
    pulled[level] = value * reach + above
    above += part[level]! * value
  }
}

/** Turns the joint weights of a variable's causes into posteriors. */
function normalise(posterior: number[], causes: readonly number[], from: number, to: number, total: number): void {
  if (total > 0) for (let at = from; at < to; at++) posterior[causes[at]!]! /= total
}

function posteriorsOfTwo({ own, prefix }: Background, value: ArrayLike<number>, weights: Weights, to: number[]) {
  const { firsts, counts, causes, rows } = own
  let ofLowest = value[0]!
  let ofHigher = value[1]!
  for (let position = counts.length - 1, option = causes.length; position >= 0; position--) {
    const first = firsts[position]!
    const count = counts[position]!
    const lowest = prefix[2 * position]!
    const higher = prefix[2 * position + 1]!
    option -= count
    let total = 0
    let stay = 0
    let move = 0
    for (let at = 0; at < count; at++) {
      const own = weights[first + at]!
      const low = own * rows[2 * (option + at)]!
      const high = own * rows[2 * (option + at) + 1]!
      const joint = lowest * (low * ofLowest + high * ofHigher) + higher * (low + high) * ofHigher
      total += joint
      stay += low
      move += high
      if (at > 0) to[causes[option + at]!] = joint
    }
    normalise(to, causes, option + 1, option + count, total)
    ofLowest = stay * ofLowest + move * ofHigher
    ofHigher *= stay + move
  }
}

function posteriorsOfMany({ own, prefix }: Background, value: ArrayLike<number>, weights: Weights, to: number[]) {
  const { size, firsts, counts, causes, rows } = own
  roomFor(size)
  for (let level = 0; level < size; level++) pulled[level] = value[level]!
  for (let position = counts.length - 1, option = causes.length; position >= 0; position--) {
    const first = firsts[position]!
    const count = counts[position]!
    option -= count
    let total = 0
    for (let at = 0; at < count; at++) {
      const joint = weights[first + at]! * expected(prefix, position * size, rows, (option + at) * size, size)
      total += joint
      if (at > 0) to[causes[option + at]!] = joint
    }
    normalise(to, causes, option + 1, option + count, total)
    readPart(own, position, option, weights)
    pull(size)
  }
}

/**
 * Writes the posteriors of the causes of an item's own variables.
 * @param value - value of each level that the background may have
 * @param weights - those that the background was folded with
 */
export function ownPosteriors(
  background: Background,
  value: ArrayLike<number>,
  weights: Weights,
  posterior: number[],
): void {
  if (background.own.size === 2) posteriorsOfTwo(background, value, weights, posterior)
  else posteriorsOfMany(background, value, weights, posterior)
}

/** Joint weight of "the leak reached level b" for each b. */
export function leakJoints({ own, leak }: Background, value: ArrayLike<number>, weights: Weights): number[] {
  const nothing = leak.map((_, level) => (level === 0 ? 1 : 0))
  const withoutLeak = folded(own, nothing, weights).whole
  return leak.map((share, level) => {
    let upTo = 0
    let above = 0
    for (let other = 0; other < leak.length; other++)
      if (other <= level) upTo += withoutLeak[other]!
      else above += withoutLeak[other]! * value[other]!
    return share * (upTo * value[level]! + above)
  })
}
