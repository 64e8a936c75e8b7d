/** Share of false patterns among those reported that is accepted. */
export const FALSE_DISCOVERY_RATE = 0.05

/**
 * Probabilities adjusted for their number: reporting those up to a rate keeps the share of false reports, on the
 * average, below that rate.
 *
 * adjusted p of rank i = the least of m p_j / j over all ranks j >= i, at most 1
 *
 * @param probabilities - each 0 to 1, in any order
 * @returns the adjusted probabilities in the same order
 * @validity tests that are independent or positively dependent
 * @source Benjamini and Hochberg (1995), from memory
 * @example adjustForNumber([0.01, 0.02, 0.03]) // [0.03, 0.03, 0.03]
 */
export function adjustForNumber(probabilities: readonly number[]): number[] {
  const order = probabilities.map((_, index) => index).sort((a, b) => probabilities[b]! - probabilities[a]!)
  const adjusted = new Array<number>(probabilities.length)
  let least = 1
  order.forEach((index, fromLargest) => {
    const rank = probabilities.length - fromLargest
    least = Math.min(least, (probabilities.length * probabilities[index]!) / rank)
    adjusted[index] = least
  })
  return adjusted
}
