import type { Model } from './model.ts'

/** Numbers for things that are the same, in the order in which they come. */
class Numbering {
  readonly #known = new Map<unknown, number>()

  of(thing: unknown): number {
    const known = this.#known.get(thing)
    if (known !== undefined) return known
    this.#known.set(thing, this.#known.size)
    return this.#known.size - 1
  }
}

/**
 * Number of each item, the same for items that were seen alike and that the shared variables and the leak bear on alike:
 * what the copies of one effect on many devices are as a rule. Lists of levels are compared as the arrays they are.
 */
export function alikeOf(model: Model, items: readonly number[], shared: readonly number[]): number[] {
  const [lists, marks] = [new Numbering(), new Numbering()]
  const alike = items.map((item) => {
    const { leak, weights } = model.items[item]!
    return marks.of(`${lists.of(leak)} ${weights.join()}`)
  })
  const positionOf = new Map(items.map((item, position) => [item, position]))
  for (const variable of shared)
    model.variables[variable]!.options.forEach(({ links }, option) => {
      for (const { item, levels } of links) {
        const position = positionOf.get(item)
        if (position === undefined) continue
        alike[position] = marks.of(`${variable} ${option} ${alike[position]} ${lists.of(levels)}`)
      }
    })
  return alike
}

/** Items of a component of which the same is true, own causes included: one of each kind, and how many it stands for. */
export interface Kinds {
  /** Position of one item of each kind. */
  first: number[]
  counts: number[]
  /** Kind of each item, by position. */
  of: number[]
}

const isSame = (a: Float64Array, b: Float64Array) => a.every((value, at) => value === b[at])

/** @param wholes - folded backgrounds of the items */
export function kindsOf(alike: readonly number[], wholes: readonly Float64Array[]): Kinds {
  const kinds: Kinds = { first: [], counts: [], of: [] }
  alike.forEach((number, position) => {
    const known = kinds.first.findIndex((other) => alike[other] === number && isSame(wholes[other]!, wholes[position]!))
    const kind = known < 0 ? kinds.first.length : known
    if (known < 0) {
      kinds.first.push(position)
      kinds.counts.push(0)
    }
    kinds.counts[kind]!++
    kinds.of.push(kind)
  })
  return kinds
}
