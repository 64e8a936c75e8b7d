const MAX_ROUNDS = 200

/**
 * Argument between two bounds at which a rising function reaches a value, by bisection down to the last digit.
 *
 * @param rising - never falls between the bounds
 * @example risingRoot((x) => x * x, 2, 0, 2) // 1.414213562373095
 */
export function risingRoot(rising: (x: number) => number, value: number, from: number, to: number): number {
  let [low, high] = [from, to]
  for (let round = 0; round < MAX_ROUNDS; round++) {
    const middle = (low + high) / 2
    if (middle <= low || middle >= high) break
    if (rising(middle) < value) low = middle
    else high = middle
  }
  return (low + high) / 2
}
