/** Weights of levels as a source of this reliability leaves them: what is taken from a level is shared by the others. */
export function doubted(weights: readonly number[], reliability: number): number[] {
  const rest = (1 - reliability) / (weights.length - 1)
  return weights.map((weight) => weight * reliability + (1 - weight) * rest)
}

/** Weights of a stated level; the rest is shared by the others. */
export function oneHot(levels: number, level: number, reliability: number): number[] {
  const certain = Array.from({ length: levels }, (_, index) => (index === level ? 1 : 0))
  return doubted(certain, reliability)
}
