import type { Component } from './components.ts'
import type { Kinds } from './kinds.ts'
import type { Model, Weights } from './model.ts'
import { raise } from './spread.ts'

/** Where the levels of one item of each kind stand in one flat array. */
export interface Flat {
  kinds: Kinds
  /** By kind. */
  starts: Int32Array
  sizes: Int32Array
  /** Levels of all kinds together. */
  total: number
}

/** Lays the levels of one item of each kind out one after the other. */
export function flatten({ items: all }: Model, { items }: Component, kinds: Kinds): Flat {
  const sizes = Int32Array.from(kinds.first, (position) => all[items[position]!]!.leak.length)
  const starts = new Int32Array(sizes.length)
  let total = 0
  sizes.forEach((size, kind) => {
    starts[kind] = total
    total += size
  })
  return { kinds, starts, sizes, total }
}

/** One row of levels: a vector for each kind, taken from those of all items. */
export function flatRow({ kinds, starts, total }: Flat, vectors: readonly ArrayLike<number>[]): Float64Array {
  const row = new Float64Array(total)
  kinds.first.forEach((position, kind) => {
    row.set(vectors[position]!, starts[kind]!)
  })
  return row
}

/** What is called at every assignment: its weight, and where the row of reached levels begins. */
export type Visit = (weight: number, at: number) => void

/** An option as a walk sees it. */
interface Step {
  weight: number
  /** Levels that it brings about, and where they stand in a row. */
  raises: { start: number; levels: readonly number[] }[]
  /** Links to all items: the counted updates. */
  links: number
}

/**
 * Goes through every assignment of a component's shared variables that has a weight, always in the same order, and keeps
 * the level that the chosen options bring about at one item of each kind, as a distribution.
 */
export class Walk {
  readonly flat: Flat
  /** One row of reached levels for each variable chosen so far; `visit` is told which one holds. */
  readonly rows: Float64Array
  /** Chosen option of each shared variable, by position. */
  readonly chosen: Int32Array
  /** Counted updates, for all items. */
  work = 0
  readonly #items: number
  readonly #steps: Step[][]

  /** @param start - row to begin with: what is brought about before any variable is chosen */
  constructor(model: Model, component: Component, weights: Weights, flat: Flat, start: Float64Array) {
    this.flat = flat
    this.rows = new Float64Array((component.shared.length + 1) * flat.total)
    this.rows.set(start)
    this.chosen = new Int32Array(component.shared.length)
    this.#items = component.items.length
    const startOf = new Map(flat.kinds.first.map((position, kind) => [component.items[position]!, flat.starts[kind]!]))
    this.#steps = component.shared.map((variable) => {
      const { options, first } = model.variables[variable]!
      return options.map(({ links }, option) => ({
        weight: weights[first + option]!,
        links: links.length,
        raises: links.flatMap(({ item, levels }) => {
          const at = startOf.get(item)
          return at === undefined ? [] : [{ start: at, levels }]
        }),
      }))
    })
  }

  run(visit: Visit): void {
    this.#descend(0, 1, 0, visit)
  }

  #descend(depth: number, weight: number, row: number, visit: Visit): void {
    const steps = this.#steps[depth]
    if (steps === undefined) {
      this.work += this.#items
      visit(weight, row * this.flat.total)
      return
    }
    for (let option = 0; option < steps.length; option++) {
      const step = steps[option]!
      if (!(step.weight > 0)) continue
      this.chosen[depth] = option
      this.work += step.links
      const next = step.raises.length === 0 ? row : this.#reach(step, row, depth + 1)
      this.#descend(depth + 1, weight * step.weight, next, visit)
    }
  }

  /** Writes a new row: what an option brings about on top of another row. */
  #reach({ raises }: Step, from: number, to: number): number {
    const { rows } = this
    const { total } = this.flat
    rows.copyWithin(to * total, from * total, (from + 1) * total)
    for (const { start, levels } of raises) raise(rows, to * total + start, levels)
    return to
  }
}

/** Weight of what an item was seen as, when it reaches the levels that stand in a row. */
export function seen(rows: Float64Array, at: number, weights: ArrayLike<number>): number {
  let sum = 0
  for (let level = 0; level < weights.length; level++) sum += rows[at + level]! * weights[level]!
  return sum
}

/** A number times itself, by squaring: the same on every host. */
function power(base: number, exponent: number): number {
  let result = 1
  for (let [left, square] = [exponent, base]; left > 0; left >>= 1, square *= square) if (left & 1) result *= square
  return result
}

/** Product of all numbers, each so many times. */
export function productOf(values: Float64Array, counts: readonly number[]): number {
  let product = 1
  for (let index = 0; index < values.length; index++) product *= power(values[index]!, counts[index]!)
  return product
}

/** For each number the product of all of them, each so many times, but of itself once less; without dividing. */
export function productsOfOthers(values: Float64Array, counts: readonly number[], others: Float64Array): void {
  let before = 1
  for (let index = 0; index < values.length; index++) {
    const rest = power(values[index]!, counts[index]! - 1)
    others[index] = before * rest
    before *= rest * values[index]!
  }
  let after = 1
  for (let index = values.length - 1; index >= 0; index--) {
    others[index]! *= after
    after *= power(values[index]!, counts[index]!)
  }
}
