import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { componentEvidence } from './pass.ts'
import type { Prepared } from './prepare.ts'

const onlyLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? share : 0))

const withoutLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? 0 : share))

/** An option beside the same option bringing about nothing at the blocked items; alone where it reaches none of them. */
function split(option: Option, blocked: ReadonlySet<number>): Option[] {
  if (option.cause < 0 || !option.links.some(({ item }) => blocked.has(item))) return [option]
  const links = option.links.map((link) =>
    blocked.has(link.item) ? { ...link, levels: onlyLowest(link.levels) } : link,
  )
  return [option, { ...option, links }]
}

/** Variables of a component, each option split; nothing else of the model is looked at. */
function splitModel(
  model: Model,
  component: Component,
  blocked: ReadonlySet<number>,
  changeLeak: (leak: readonly number[]) => number[],
): Model {
  const changed: Model = { ...model, items: model.items.slice(), variables: model.variables.slice() }
  for (const item of blocked) changed.items[item] = { ...model.items[item]!, leak: changeLeak(model.items[item]!.leak) }
  for (const variable of [...component.shared, ...component.own.flat()])
    changed.variables[variable] = {
      options: model.variables[variable]!.options.flatMap((option) => split(option, blocked)),
    }
  return changed
}

/** Weights of split options: the first of a pair with probability `fixed`, the second with the rest. */
function splitWeights({ variables }: Model, fixed: (cause: number) => number): Weights {
  return (variable, option) => {
    const { options } = variables[variable]!
    const { cause, weight } = options[option]!
    if (cause < 0) return weight
    if (options[option + 1]?.cause === cause) return weight * fixed(cause)
    return options[option - 1]!.cause === cause ? weight * (1 - fixed(cause)) : weight
  }
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
      ? [{ component, before: results[index]!.evidence, changed: splitModel(model, component, blocked, changeLeak) }]
      : [],
  )
  return (fixed) => {
    let probability = 1
    for (const { component, before, changed } of touched)
      probability *= componentEvidence(changed, component, splitWeights(changed, fixed)).evidence / before
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
