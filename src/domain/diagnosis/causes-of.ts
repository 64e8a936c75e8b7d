import type { Effect } from './network.ts'

const known = new WeakMap<Effect, ReadonlySet<number>>()

/** Causes that an effect has a link from; kept with the effect. */
export function causesOfEffect(effect: Effect): ReadonlySet<number> {
  const found = known.get(effect) ?? new Set(effect.links.map(({ cause }) => cause))
  known.set(effect, found)
  return found
}
