import type { Model, Option } from './model.ts'
import { componentEvidence, modelWeights } from './pass.ts'
import type { Prepared } from './prepare.ts'

const onlyLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? share : 0))

/** An option as a mixture: with probability `fixed` as it is, otherwise bringing about nothing at the blocked items. */
function mixture(option: Option, fixed: number, blocked: ReadonlySet<number>): Option[] {
  if (fixed >= 1 || !option.links.some(({ item }) => blocked.has(item))) return [option]
  const links = option.links.map((link) =>
    blocked.has(link.item) ? { ...link, levels: onlyLowest(link.levels) } : link,
  )
  const idle = { ...option, links, weight: option.weight * (1 - fixed) }
  return fixed <= 0 ? [idle] : [{ ...option, weight: option.weight * fixed }, idle]
}

/** Ratio of the evidence under a changed model to the evidence as it is, over the components of the changed items. */
function ratio(prepared: Prepared, changed: Model, items: readonly number[]): { probability: number; work: number } {
  const { components } = prepared.partition
  let probability = 1
  let work = 0
  components.forEach((component, index) => {
    if (!component.items.some((item) => items.includes(item))) return
    const result = componentEvidence(changed, component, modelWeights(changed))
    probability *= result.evidence / prepared.results[index]!.evidence
    work += result.work
  })
  return { probability: Math.min(probability, 1), work }
}

const positions = ({ model }: Prepared, effects: readonly number[]) =>
  model.items.flatMap(({ effect }, item) => (effects.includes(effect) ? [item] : []))

/**
 * Probability that everything watched clears when causes are removed: no watched effect is brought about by its leak or
 * by a cause that stays.
 *
 * @param fixed - for each cause the probability that the remedies remove it
 * @param watched - effects that are observed present
 */
export function clearProbability(prepared: Prepared, fixed: ArrayLike<number>, watched: readonly number[]): number {
  const { model } = prepared
  const items = positions(prepared, watched)
  const blocked = new Set(items)
  const changed: Model = {
    ...model,
    items: model.items.map((item, index) => (blocked.has(index) ? { ...item, leak: onlyLowest(item.leak) } : item)),
    variables: model.variables.map((variable) => ({
      options: variable.options.flatMap((option) =>
        option.cause < 0 ? [option] : mixture(option, fixed[option.cause]!, blocked),
      ),
    })),
  }
  return ratio(prepared, changed, items).probability
}

/** Probability that an observed effect is brought about by its leak and by no cause at all. */
export function leakOnlyProbability(prepared: Prepared, effect: number): number {
  const { model } = prepared
  const [item] = positions(prepared, [effect])
  if (item === undefined) return 0
  const blocked = new Set([item])
  const changed: Model = {
    ...model,
    items: model.items.map((known, index) =>
      index === item ? { ...known, leak: known.leak.map((share, level) => (level === 0 ? 0 : share)) } : known,
    ),
    variables: model.variables.map((variable) => ({
      options: variable.options.flatMap((option) => (option.cause < 0 ? [option] : mixture(option, 0, blocked))),
    })),
  }
  return ratio(prepared, changed, [item]).probability
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
