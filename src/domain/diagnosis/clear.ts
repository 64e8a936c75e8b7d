import { othersByAssignment, ownEvidenceByAssignment } from './assignments.ts'
import { blockedWhole, leakJoints } from './background.ts'
import { type Blocked, block, type ChangeLeak, type Fixed, withFixes } from './blocked.ts'
import { reduced } from './components.ts'
import { componentEvidence } from './pass.ts'
import type { Prepared } from './prepare.ts'

const onlyLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? share : 0))
const withoutLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? 0 : share))

/** Items of effects, by component that they are in. */
function byComponent({ model, partition }: Prepared, effects: ReadonlySet<number>): Map<number, number[]> {
  const found = new Map<number, number[]>()
  partition.components.forEach(({ items }, index) => {
    const own = items.filter((item) => effects.has(model.items[item]!.effect))
    if (own.length > 0) found.set(index, own)
  })
  return found
}

/** Backgrounds of a component's items, those of blocked items folded anew while causes are removed. */
function wholesUnder({ model, results }: Prepared, index: number, { leaks }: Blocked, fixed: Fixed): Float64Array[] {
  return results[index]!.backgrounds.map((background, position) => {
    const leak = leaks[position]
    return leak === undefined ? background.whole : blockedWhole(background, leak, model.weights, fixed)
  })
}

/** Evidence of a blocked component while causes are removed. */
function blockedEvidence(prepared: Prepared, index: number, blocked: Blocked, fixed: Fixed): number {
  const { model, weights } = withFixes(blocked, fixed)
  return componentEvidence(model, blocked.component, weights, wholesUnder(prepared, index, blocked, fixed)).evidence
}

/** Ratio of the evidence to what it is for each of a component's items alone, when it is blocked and causes are removed. */
function eachRatio(prepared: Prepared, index: number, items: readonly number[], changeLeak: ChangeLeak) {
  const { model, partition, results } = prepared
  const component = partition.components[index]!
  const { evidence, backgrounds } = results[index]!
  if (!component.isByAssignment) {
    const each = items.map((item) => block(model, component, new Set([item]), changeLeak, true))
    return (fixed: Fixed) => each.map((blocked) => blockedEvidence(prepared, index, blocked, fixed) / evidence)
  }
  const positions = items.map((item) => component.items.indexOf(item))
  const wholes = backgrounds.map(({ whole }) => whole)
  const others = othersByAssignment(model, component, wholes)
  const kindsOfPart = positions.map((position) => others.kinds.of[position]!)
  const part = reduced(model, component, positions)
  const blocked = block(model, component, new Set(items), changeLeak, true)
  return (fixed: Fixed) => {
    const changed = withFixes(blocked, fixed)
    const under = wholesUnder(prepared, index, blocked, fixed)
    const own = positions.map((position) => under[position]!)
    const sums = ownEvidenceByAssignment(changed.model, part, changed.weights, { ...others, kindsOfPart, wholes: own })
    return sums.map((sum) => sum / evidence)
  }
}

/** For each of some observed effects alone: ratio of the evidence to what it is, when it is blocked. */
function ratios(prepared: Prepared, effects: readonly number[], changeLeak: ChangeLeak) {
  const parts = [...byComponent(prepared, new Set(effects))].map(([index, items]) => ({
    places: items.map((item) => effects.indexOf(prepared.model.items[item]!.effect)),
    ratio: eachRatio(prepared, index, items, changeLeak),
  }))
  return (fixed: Fixed, without: number): number[] => {
    const found = effects.map(() => without)
    for (const { places, ratio } of parts) {
      const values = ratio(fixed)
      for (let at = 0; at < places.length; at++) found[places[at]!] = Math.min(values[at]!, 1)
    }
    return found
  }
}

/**
 * Probability that everything watched clears when causes are removed: no watched effect is brought about by its leak or
 * by a cause that stays. Prepared once for a set of effects, then cheap for each set of remedies.
 *
 * @param watched - effects that are observed present
 * @returns a function of `fixed`: for each cause the probability that the remedies remove it
 */
export function clearing(prepared: Prepared, watched: readonly number[]): (fixed: Fixed) => number {
  const { model, partition, results } = prepared
  const parts = [...byComponent(prepared, new Set(watched))].map(([index, items]) => ({
    index,
    blocked: block(model, partition.components[index]!, new Set(items), onlyLowest, false),
  }))
  return (fixed) =>
    Math.min(
      1,
      parts.reduce(
        (product, { index, blocked }) =>
          (product * blockedEvidence(prepared, index, blocked, fixed)) / results[index]!.evidence,
        1,
      ),
    )
}

/** The same for each of the watched effects alone: the probability that it clears, whatever becomes of the others. */
export function clearingEach(prepared: Prepared, watched: readonly number[]): (fixed: Fixed) => number[] {
  const ratio = ratios(prepared, watched, onlyLowest)
  return (fixed) => ratio(fixed, 1)
}

/** For each observed effect the probability that it is brought about by its leak and by no cause at all. */
export function leakOnlyProbabilities(prepared: Prepared, effects: readonly number[]): number[] {
  return ratios(prepared, effects, withoutLowest)(undefined, 0)
}

/** Probability that an observed effect is brought about by its leak and by no cause at all. */
export const leakOnlyProbability = (prepared: Prepared, effect: number): number =>
  leakOnlyProbabilities(prepared, [effect])[0]!

/** Probability that the leak of an observed effect brought about more than its lowest level. */
export function leakOnProbability(prepared: Prepared, effect: number): number {
  const index = prepared.partition.components.findIndex(({ items }) =>
    items.some((item) => prepared.model.items[item]!.effect === effect),
  )
  if (index < 0) return 0
  const { values, backgrounds, evidence } = prepared.results[index]!
  const { items } = prepared.partition.components[index]!
  const position = items.findIndex((item) => prepared.model.items[item]!.effect === effect)
  const joints = leakJoints(backgrounds[position]!, values[position]!, prepared.model.weights)
  return joints.slice(1).reduce((sum, weight) => sum + weight, 0) / evidence
}
