/** Entropy of a yes-no question in bits: -p log2 p - (1-p) log2 (1-p). */
export function binaryEntropyBits(probability: number): number {
  if (probability <= 0 || probability >= 1) return 0
  return -(probability * Math.log2(probability) + (1 - probability) * Math.log2(1 - probability))
}

/** An answer that a check may give, with what it would make of the causes. */
export interface PossibleResult {
  result: string
  probability: number
  posterior: Float64Array
}

/**
 * Bits that a check is expected to bring: H(mixture of the results) - sum P(result) H(result).
 * Only over the relevant causes where these are given.
 * The mixture equals the present marginals where the results are a full partition; never negative, as entropy is concave.
 */
export function expectedGainBits(results: readonly PossibleResult[], relevant?: Iterable<number>): number {
  const first = results[0]
  if (!first) return 0
  let gain = 0
  for (const cause of relevant ?? first.posterior.keys()) {
    let mixture = 0
    let after = 0
    let isMoved = false
    for (const { probability, posterior } of results) {
      const value = posterior[cause]!
      mixture += probability * value
      after += probability * binaryEntropyBits(value)
      isMoved ||= value !== first.posterior[cause]
    }
    if (isMoved) gain += binaryEntropyBits(mixture) - after
  }
  return Math.max(gain, 0)
}
