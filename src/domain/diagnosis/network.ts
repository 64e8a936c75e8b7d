/**
 * A two-layer network: independent causes above, effects below. An effect takes the highest of the levels that its
 * leak and each of its present causes bring about (noisy-MAX); with two levels that is noisy-OR.
 */
export interface Link {
  cause: number
  /** Probability of each level, level 0 first, given this cause alone and no background. */
  levels: readonly number[]
}
export interface Effect {
  /** Probability of each level with no cause present. */
  leak: readonly number[]
  links: readonly Link[]
}
export interface Network {
  /** Probability of each cause before evidence, contexts already applied. */
  prior: readonly number[]
  /** Members of a group exclude each other: P(none) = 1 - sum of their priors. */
  groups: readonly (readonly number[])[]
  effects: readonly Effect[]
}
/** What is known of one effect: a likelihood for each level. One-hot when certain, [1-r, r] for a doubtful yes. */
export interface Evidence {
  effect: number
  weights: readonly number[]
}

/** Most states that a component may have; more is refused. */
export const MAX_STATES = 16_384
