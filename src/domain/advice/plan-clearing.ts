import { causesOfEffect } from '../diagnosis/causes-of.ts'
import { clearingEach } from '../diagnosis/clear.ts'
import type { Gathered } from './gathered.ts'
import { judgedNow } from './judged-later.ts'
import type { PlanState } from './plan-candidates.ts'
import { LOSS } from './severity.ts'

type Standing = Gathered['present'][number]

/** Conditions beyond these stand on the same causes as a rule: many devices of one kind. They bound the work. */
const MOST_WEIGHED = 12

/**
 * The conditions that a plan weighs: each kind once before a second device of any, the worst loss first, then as the
 * ontology lists them and by device. The same in whatever order they were found.
 */
export function weighed({ instance, present }: Gathered): Standing[] {
  const lossOf = ({ condition }: Standing) => LOSS.indexOf(instance.release.conditions[condition]!.severity)
  const byDevice = [...present].sort(
    (a, b) => a.condition - b.condition || ((a.device ?? '') < (b.device ?? '') ? -1 : 1),
  )
  const turns = new Map<number, number>()
  const inTurns = byDevice.map((one) => {
    const turn = turns.get(one.condition) ?? 0
    turns.set(one.condition, turn + 1)
    return { one, turn }
  })
  return inTurns
    .sort((a, b) => a.turn - b.turn || lossOf(a.one) - lossOf(b.one))
    .map(({ one }) => one)
    .slice(0, MOST_WEIGHED)
}

type Clears = (fixed: readonly number[]) => number[]

const clearingKnown = new WeakMap<PlanState, Clears>()

/** For each condition that is weighed the probability that it clears, as a function of what is fixed; kept with the state. */
export function clearingOfWeighed(state: PlanState): Clears {
  const known = clearingKnown.get(state)
  if (known !== undefined) return known
  const effects = weighed(state.known).map(({ effect }) => effect)
  const clears = clearingEach(state.prepared, effects)
  clearingKnown.set(state, clears)
  return clears
}

/** Causes of each condition that is weighed. */
export const causesOfWeighed = ({ known }: PlanState): ReadonlySet<number>[] =>
  weighed(known).map(({ effect }) => causesOfEffect(known.instance.effects[effect]!))

export const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0)

/** Nothing is fixed. */
export const noneFixed = ({ prepared }: PlanState): number[] => prepared.network.prior.slice().fill(0)

/** Of the conditions that stand and are judged now, the probability of the one that clears least surely, as a function of what is fixed. */
export function leastClearing({ known, posterior, prepared }: PlanState): (fixed: readonly number[]) => number {
  const effects = judgedNow(known, posterior).map(({ effect }) => effect)
  const clears = clearingEach(prepared, effects)
  return (fixed) => Math.min(1, ...clears(fixed))
}

/** Share of the conditions that are weighed that is expected to clear; all of it where none stands. */
export function clearedShare(state: PlanState, fixed: readonly number[]): number {
  const cleared = clearingOfWeighed(state)(fixed)
  return cleared.length === 0 ? 1 : sum(cleared) / cleared.length
}
