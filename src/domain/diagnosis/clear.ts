import type { Component } from './components.ts'
import type { Model, Option } from './model.ts'
import { componentEvidence } from './pass.ts'
import { eachVariable, type Prepared } from './prepare.ts'

const onlyLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? share : 0))

const withoutLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? 0 : share))

/** Where an option stands beside the same option bringing about nothing at the blocked items. */
interface Pair {
  cause: number
  /** Position of the first of the two in the weights. */
  at: number
  weight: number
}

/** A component of a model, changed, with the weights it is passed through by. */
interface Split {
  component: Component
  model: Model
  weights: Float64Array
  /** How many of the weights are laid out. */
  used: number
  pairs: Pair[]
}

const reaches = ({ links }: Option, blocked: ReadonlySet<number>) => links.some(({ item }) => blocked.has(item))

function withoutBlocked({ cause, links }: Option, blocked: ReadonlySet<number>): Option {
  return {
    cause,
    links: links.map((link) => (blocked.has(link.item) ? { ...link, levels: onlyLowest(link.levels) } : link)),
  }
}

/** Splits the options of a variable that reach a blocked item; its weights are laid out anew after all others. */
function splitVariable(result: Split, variable: number, blocked: ReadonlySet<number>): void {
  const { model, weights, pairs } = result
  const { options, first } = model.variables[variable]!
  if (!options.some((option) => reaches(option, blocked))) return
  const start = result.used
  const changed: Option[] = []
  options.forEach((option, position) => {
    const weight = model.weights[first + position]!
    weights[start + changed.length] = weight
    changed.push(option)
    if (!reaches(option, blocked)) return
    pairs.push({ cause: option.cause, at: start + changed.length - 1, weight })
    changed.push(withoutBlocked(option, blocked))
  })
  result.used += changed.length
  model.variables[variable] = { options: changed, first: start }
}

/** Variables of a component, each option split; nothing else of the model is looked at. */
function split(
  model: Model,
  component: Component,
  blocked: ReadonlySet<number>,
  changeLeak: (leak: readonly number[]) => number[],
): Split {
  const items = model.items.slice()
  for (const item of blocked) items[item] = { ...items[item]!, leak: changeLeak(items[item]!.leak) }
  const changed = { ...model, items, variables: model.variables.slice() }
  const weights = new Float64Array(3 * model.weights.length)
  weights.set(model.weights)
  const result: Split = { component, model: changed, weights, used: model.weights.length, pairs: [] }
  eachVariable(component, (variable) => splitVariable(result, variable, blocked))
  return result
}

/** Ratio of the evidence to what it is, when causes bring about nothing at the items except with the probability given. */
function ratios(
  { model, partition: { components }, results }: Prepared,
  items: readonly number[],
  changeLeak: (leak: readonly number[]) => number[],
): (fixed: (cause: number) => number) => number {
  const blocked = new Set(items)
  const touched = components.flatMap((component, index) =>
    component.items.some((item) => blocked.has(item))
      ? [{ ...split(model, component, blocked, changeLeak), before: results[index]!.evidence }]
      : [],
  )
  return (fixed) => {
    let probability = 1
    for (const { component, before, model: changed, weights, pairs } of touched) {
      for (const { cause, at, weight } of pairs) {
        weights[at] = weight * fixed(cause)
        weights[at + 1] = weight - weights[at]!
      }
      probability *= componentEvidence(changed, component, weights).evidence / before
    }
    return Math.min(probability, 1)
  }
}

const positions = ({ model }: Prepared, effects: readonly number[]) =>
  model.items.flatMap(({ effect }, item) => (effects.includes(effect) ? [item] : []))

/**
 * Probability that everything watched clears when causes are removed: no watched effect is brought about by its leak or
 * by a cause that stays. Prepared once for a set of effects, then cheap for each set of remedies.
 *
 * @param watched - effects that are observed present
 * @returns a function of `fixed`: for each cause the probability that the remedies remove it
 */
export function clearing(prepared: Prepared, watched: readonly number[]): (fixed: ArrayLike<number>) => number {
  const ratio = ratios(prepared, positions(prepared, watched), onlyLowest)
  return (fixed) => ratio((cause) => fixed[cause]!)
}

/** Probability that an observed effect is brought about by its leak and by no cause at all. */
export function leakOnlyProbability(prepared: Prepared, effect: number): number {
  const items = positions(prepared, [effect])
  return items.length === 0 ? 0 : ratios(prepared, items, withoutLowest)(() => 0)
}

/** Probability that the leak of an observed effect brought about more than its lowest level. */
export function leakOnProbability(prepared: Prepared, effect: number): number {
  const [item] = positions(prepared, [effect])
  if (item === undefined) return 0
  const index = prepared.partition.components.findIndex((component) => component.items.includes(item))
  const { leak, evidence } = prepared.results[index]!
  const own = leak[prepared.partition.components[index]!.items.indexOf(item)]!
  return own.slice(1).reduce((sum, weight) => sum + weight, 0) / evidence
}
