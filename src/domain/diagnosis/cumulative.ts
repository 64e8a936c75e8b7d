import type { Effect } from './network.ts'

/** Factors on the weights of "this cause is present"; finite and >= 0, each cause at most once. */
export interface Changes {
  causes: readonly number[]
  factors: ArrayLike<number>
}

/** Share of levels up to one. */
export function upTo(levels: readonly number[], level: number): number {
  let sum = 0
  for (let at = 0; at <= level; at++) sum += levels[at]!
  return sum
}

const known = new WeakMap<Effect, Changes[]>()

/** What "at most this level" puts on each linked cause: the share of its levels up to there. Kept with the effect. */
export function atMost(effect: Effect, level: number): Changes {
  const found = known.get(effect)
  if (found !== undefined) return found[level]!
  const causes = effect.links.map(({ cause }) => cause)
  const changes = effect.leak.map((_, index) => ({
    causes,
    factors: Float64Array.from(effect.links, ({ levels }) => upTo(levels, index)),
  }))
  known.set(effect, changes)
  return changes[level]!
}
