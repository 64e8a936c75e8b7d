/**
 * Priors moved by factors on their odds; members of an exclusive group by factors on their ratio to "none".
 * A factor of 0 removes a cause.
 *
 * @param factors - one a cause, finite and >= 0
 * @returns priors in [0, 1); those of a group sum to less than 1
 */
export function adjustPrior(
  prior: readonly number[],
  factors: readonly number[],
  groups: readonly (readonly number[])[],
): number[] {
  const adjusted = prior.map((probability, cause) => {
    const factor = factors[cause]!
    return factor === 1 ? probability : (probability * factor) / (1 - probability + probability * factor)
  })
  for (const group of groups) {
    const none = 1 - group.reduce((sum, cause) => sum + prior[cause]!, 0)
    const total = group.reduce((sum, cause) => sum + prior[cause]! * factors[cause]!, none)
    for (const cause of group) adjusted[cause] = (prior[cause]! * factors[cause]!) / total
  }
  return adjusted
}
