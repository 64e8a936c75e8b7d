/** Entropy of a yes-no question in bits: -p log2 p - (1-p) log2 (1-p). */
export function binaryEntropyBits(probability: number): number {
  if (probability <= 0 || probability >= 1) return 0
  return -(probability * Math.log2(probability) + (1 - probability) * Math.log2(1 - probability))
}

/** An answer that a check may give, with what it would make of the causes. */
export interface PossibleResult {
  result: string
  probability: number
  posterior: number[]
}

/** Probability that one of some causes that are told apart for no purpose is there; they are taken to exclude each other. */
function ofGroup(group: readonly number[], posterior: number[]): number {
  let sum = 0
  for (const cause of group) sum += posterior[cause]!
  return Math.min(1, sum)
}

/** What a group comes to is the same whatever the result. */
function isUnmoved(group: readonly number[], results: readonly PossibleResult[]): boolean {
  const first = ofGroup(group, results[0]!.posterior)
  for (let at = 1; at < results.length; at++) if (ofGroup(group, results[at]!.posterior) !== first) return false
  return true
}

/**
 * Bits that a check is expected to bring: H(mixture of the results) - sum P(result) H(result), over groups of causes; a
 * group of one is the cause itself. Below 0 for a group only, where the causes do not quite exclude each other: that
 * counts as nothing.
 */
export function expectedGainBits(results: readonly PossibleResult[], groups: readonly (readonly number[])[]): number {
  if (results.length === 0) return 0
  let gain = 0
  for (const group of groups) {
    if (isUnmoved(group, results)) continue
    let mixture = 0
    for (const { probability, posterior } of results) {
      const value = ofGroup(group, posterior)
      mixture += probability * value
      gain -= probability * binaryEntropyBits(value)
    }
    gain += binaryEntropyBits(mixture)
  }
  return Math.max(gain, 0)
}
