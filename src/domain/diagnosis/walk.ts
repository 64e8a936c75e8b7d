import type { Component } from './components.ts'
import type { Model, OptionLink, Weights } from './model.ts'
import { raise } from './spread.ts'

/** Where the levels of each item of a component stand in one flat array. */
export interface Flat {
  /** By position of the item. */
  starts: Int32Array
  sizes: Int32Array
  /** Levels of all items together. */
  total: number
}

/** Lays the levels of a component's items out one after the other. */
export function flatten({ items: all }: Model, { items }: Component): Flat {
  const starts = new Int32Array(items.length)
  const sizes = Int32Array.from(items, (item) => all[item]!.leak.length)
  let total = 0
  sizes.forEach((size, position) => {
    starts[position] = total
    total += size
  })
  return { starts, sizes, total }
}

/** One row of levels for each item. */
export function flatRow({ starts, total }: Flat, vectors: readonly ArrayLike<number>[]): Float64Array {
  const row = new Float64Array(total)
  vectors.forEach((vector, position) => {
    row.set(vector, starts[position]!)
  })
  return row
}

/** What is called at every assignment: its weight, and where the row of reached levels begins. */
export type Visit = (weight: number, at: number) => void

/**
 * Goes through every assignment of a component's shared variables that has a weight, always in the same order, and keeps
 * the level that the chosen options bring about at each item, as a distribution.
 */
export class Walk {
  readonly flat: Flat
  /** One row of reached levels for each variable chosen so far; `visit` is told which one holds. */
  readonly rows: Float64Array
  /** Chosen option of each shared variable, by position. */
  readonly chosen: Int32Array
  /** Counted updates. */
  work = 0
  readonly #model: Model
  readonly #component: Component
  readonly #weights: Weights
  /** Start of the levels of each item, by item. */
  readonly #startOf: Int32Array

  /** @param start - row to begin with: what is brought about before any variable is chosen */
  constructor(model: Model, component: Component, weights: Weights, flat: Flat, start: Float64Array) {
    this.flat = flat
    this.rows = new Float64Array((component.shared.length + 1) * flat.total)
    this.rows.set(start)
    this.chosen = new Int32Array(component.shared.length)
    this.#model = model
    this.#component = component
    this.#weights = weights
    this.#startOf = new Int32Array(model.items.length).fill(-1)
    component.items.forEach((item, position) => {
      this.#startOf[item] = flat.starts[position]!
    })
  }

  run(visit: Visit): void {
    this.#descend(0, 1, 0, visit)
  }

  #descend(depth: number, weight: number, row: number, visit: Visit): void {
    const variable = this.#component.shared[depth]
    if (variable === undefined) {
      this.work += this.#component.items.length
      visit(weight, row * this.flat.total)
      return
    }
    const { options, first } = this.#model.variables[variable]!
    for (let option = 0; option < options.length; option++) {
      const share = this.#weights[first + option]!
      if (!(share > 0)) continue
      const { links } = options[option]!
      this.chosen[depth] = option
      const next = links.length === 0 ? row : this.#reach(links, row, depth + 1)
      this.#descend(depth + 1, weight * share, next, visit)
    }
  }

  /** Writes a new row: what the links bring about on top of another row. */
  #reach(links: readonly OptionLink[], from: number, to: number): number {
    const { rows } = this
    const { total } = this.flat
    rows.copyWithin(to * total, from * total, (from + 1) * total)
    for (const { item, levels } of links) {
      const start = this.#startOf[item]!
      if (start >= 0) raise(rows, to * total + start, levels)
    }
    this.work += links.length
    return to
  }
}

/** Weight of what an item was seen as, when it reaches the levels that stand in a row. */
export function seen(rows: Float64Array, at: number, weights: ArrayLike<number>): number {
  let sum = 0
  for (let level = 0; level < weights.length; level++) sum += rows[at + level]! * weights[level]!
  return sum
}

/** Products of all numbers but one, for each, without dividing. */
export function productsOfOthers(values: Float64Array, others: Float64Array): void {
  let before = 1
  for (let index = 0; index < values.length; index++) {
    others[index] = before
    before *= values[index]!
  }
  let after = 1
  for (let index = values.length - 1; index >= 0; index--) {
    others[index]! *= after
    after *= values[index]!
  }
}
