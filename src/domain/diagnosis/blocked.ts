import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'

/** For each cause the probability that it is removed; nothing is removed where it is undefined. */
export type Fixed = ArrayLike<number> | undefined

/** What of a leak counts while its item is blocked. */
export type ChangeLeak = (leak: readonly number[]) => readonly number[]

/** Items of a component at which only what removed causes bring about may be more than the lowest level. */
export interface Blocked {
  model: Model
  /** Blocked items are not like others. */
  component: Component
  items: ReadonlySet<number>
  /** What of the leak counts, by position in the component; undefined for an item that is not blocked. */
  leaks: readonly (readonly number[] | undefined)[]
  /** The model while no cause is removed, as far as shared variables go. */
  still: Model
  /** Shared variables that reach the items. */
  reaching: readonly number[]
  /** The items are looked at one by one: a cause may be removed for one and stay for another. */
  isEachAlone: boolean
}

/** Levels of which all above the lowest count with a share only. */
const damped = (levels: readonly number[], share: number) =>
  levels.map((value, level) => (level === 0 ? value : share * value))

function dampedOption({ cause, links }: Option, items: ReadonlySet<number>, share: number): Option {
  return {
    cause,
    links: links.map((link) => (items.has(link.item) ? { ...link, levels: damped(link.levels, share) } : link)),
  }
}

function reachedBy({ links }: Option, items: ReadonlySet<number>): number {
  let count = 0
  for (const { item } of links) if (items.has(item)) count++
  return count
}

/**
 * A component with some items blocked; what bears on one of them alone is blocked where it is folded.
 * @param changeLeak - what of the leak of these items counts
 */
export function block(
  model: Model,
  component: Component,
  items: ReadonlySet<number>,
  changeLeak: ChangeLeak,
  isEachAlone: boolean,
): Blocked {
  const reaching = component.shared.filter((variable) =>
    model.variables[variable]!.options.some((option) => reachedBy(option, items) > 0),
  )
  const variables = reaching.length === 0 ? model.variables : model.variables.slice()
  for (const variable of reaching) {
    const { options, first } = model.variables[variable]!
    variables[variable] = { options: options.map((option) => dampedOption(option, items, 0)), first }
  }
  const alike = component.alike.map((number, at) => 2 * number + (items.has(component.items[at]!) ? 1 : 0))
  const leaks = component.items.map((item) => (items.has(item) ? changeLeak(model.items[item]!.leak) : undefined))
  const still = { ...model, variables }
  return { model, component: { ...component, alike }, items, leaks, still, reaching, isEachAlone }
}

/** One option while its cause is removed with a probability: split in two where it would reach several items at once. */
function fixedOption(option: Option, { items, isEachAlone }: Blocked, share: number): { option: Option; of: number }[] {
  const isOne = isEachAlone || share === 0 || share === 1 || reachedBy(option, items) < 2
  if (isOne) return [{ option: dampedOption(option, items, share), of: 1 }]
  return [
    { option: dampedOption(option, items, 1), of: share },
    { option: dampedOption(option, items, 0), of: 1 - share },
  ]
}

/** The model while causes are removed, as far as shared variables go, with the weights of its options: those that were split stand after all others. */
export function withFixes(blocked: Blocked, fixed: Fixed): { model: Model; weights: Weights } {
  const { model, still, reaching } = blocked
  if (fixed === undefined) return { model: still, weights: model.weights }
  const fixing = reaching.filter((variable) => model.causesOf[variable]!.some((cause) => fixed[cause]! > 0))
  if (fixing.length === 0) return { model: still, weights: model.weights }
  const variables = still.variables.slice()
  const extra: number[] = []
  for (const variable of fixing) {
    const { options, first } = model.variables[variable]!
    const parts = options.map((option) => fixedOption(option, blocked, option.cause < 0 ? 0 : fixed[option.cause]!))
    const changed = parts.flat().map(({ option }) => option)
    if (changed.length === options.length) {
      variables[variable] = { options: changed, first }
      continue
    }
    variables[variable] = { options: changed, first: model.weights.length + extra.length }
    extra.push(...parts.flatMap((split, option) => split.map(({ of }) => of * model.weights[first + option]!)))
  }
  return { model: { ...still, variables }, weights: withExtra(model.weights, extra) }
}

function withExtra(weights: Weights, extra: readonly number[]): Weights {
  if (extra.length === 0) return weights
  const all = new Float64Array(weights.length + extra.length)
  all.set(weights)
  all.set(extra, weights.length)
  return all
}
