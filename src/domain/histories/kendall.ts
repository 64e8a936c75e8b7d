import { normalUpperTail } from '../readings/normal.ts'

/** Up to this many values the distribution of the count is worked out exactly. */
const EXACT_UP_TO = 40

/**
 * Number of pairs in which the later value is strictly the larger, by sorting halves: n log n steps.
 *
 * @example risingPairs([1, 3, 2]) // 2
 */
export function risingPairs(values: readonly number[]): number {
  return sorted(values).pairs
}

function sorted(values: readonly number[]): { values: readonly number[]; pairs: number } {
  if (values.length < 2) return { values, pairs: 0 }
  const middle = values.length >> 1
  const left = sorted(values.slice(0, middle))
  const right = sorted(values.slice(middle))
  const merged: number[] = []
  let pairs = left.pairs + right.pairs
  let [i, j] = [0, 0]
  while (i < left.values.length || j < right.values.length) {
    const takesLeft = j >= right.values.length || (i < left.values.length && left.values[i]! < right.values[j]!)
    if (!takesLeft) pairs += i
    merged.push(takesLeft ? left.values[i++]! : right.values[j++]!)
  }
  return { values: merged, pairs }
}

/** Shares of all orders of n values by their number of rising pairs. */
function pairShares(n: number): number[] {
  let shares = [1]
  for (let size = 2; size <= n; size++) {
    const next = new Array<number>(shares.length + size - 1).fill(0)
    shares.forEach((share, pairs) => {
      for (let more = 0; more < size; more++) next[pairs + more]! += share / size
    })
    shares = next
  }
  return shares
}

/**
 * Two-sided probability of so many rising pairs, or of a count as far from the middle, when every order of the values is
 * equally likely.
 *
 * @param n - number of values, no two alike, at least 2
 * @param pairs - rising pairs among n (n - 1) / 2
 * @validity exact up to 40 values, beyond that the normal approximation with continuity correction
 * @source Kendall (1938), from memory
 * @example kendallTwoSided(4, 6) // 0.0833, 2 / 24
 */
export function kendallTwoSided(n: number, pairs: number): number {
  const middle = (n * (n - 1)) / 4
  const distance = Math.abs(pairs - middle)
  if (n > EXACT_UP_TO) {
    const deviation = Math.sqrt((n * (n - 1) * (2 * n + 5)) / 72)
    return Math.min(1, 2 * normalUpperTail(Math.max(0, distance - 0.5) / deviation))
  }
  const far = pairShares(n).reduce(
    (sum, share, count) => (Math.abs(count - middle) >= distance - 1e-9 ? sum + share : sum),
    0,
  )
  return Math.min(1, far)
}
