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
  for (let at = 0; at < group.length; at++) sum += posterior[group[at]!]!
  return Math.min(1, sum)
}

/**
 * Bits that a check is expected to bring: H(mixture of the results) - sum P(result) H(result), over groups of causes; a
 * group of one is the cause itself. Below 0 for a group only, where the causes do not quite exclude each other: that
 * counts as nothing.
 */
export function expectedGainBits(results: readonly PossibleResult[], groups: readonly (readonly number[])[]): number {
  if (results.length === 0) return 0
  let gain = 0
  const values = results.map(() => 0.5)
  for (const group of groups) {
    let mixture = 0
    let isMoved = false
    for (let at = 0; at < results.length; at++) {
      const { probability, posterior } = results[at]!
      values[at] = ofGroup(group, posterior)
      mixture += probability * values[at]!
      if (values[at] !== values[0]) isMoved = true
    }
    if (!isMoved) continue
    gain += binaryEntropyBits(mixture)
    for (let at = 0; at < results.length; at++) gain -= results[at]!.probability * binaryEntropyBits(values[at]!)
  }
  return Math.max(gain, 0)
}
