/**
 * State arrays hold one number for each combination of levels of a component's items, in mixed radix:
 * an item with stride s and n levels has level floor(state / s) mod n.
 */

/** Moves mass to the higher of the level it has and the level a link brings about. Works in place. */
export function spreadInto(
  target: Float64Array,
  source: Float64Array,
  stride: number,
  levels: readonly number[],
  scratch: Float64Array,
): void {
  const size = levels.length
  const block = stride * size
  for (let base = 0; base < source.length; base += block) {
    for (let offset = base; offset < base + stride; offset++) {
      let below = 0
      let reach = 0
      for (let level = 0, state = offset; level < size; level++, state += stride) {
        const mass = source[state]!
        const share = levels[level]!
        reach += share
        scratch[level] = mass * reach + below * share
        below += mass
      }
      for (let level = 0, state = offset; level < size; level++, state += stride) target[state] = scratch[level]!
    }
  }
}

/** The transpose of `spreadInto`: from the value of the state reached to the expected value of the state left. */
export function pullInto(
  target: Float64Array,
  source: Float64Array,
  stride: number,
  levels: readonly number[],
  scratch: Float64Array,
): void {
  const size = levels.length
  const block = stride * size
  for (let level = 0, reach = 0; level < size; level++) {
    reach += levels[level]!
    scratch[level] = reach
  }
  for (let base = 0; base < source.length; base += block) {
    for (let offset = base; offset < base + stride; offset++) {
      let above = 0
      for (let level = size - 1, state = offset + level * stride; level >= 0; level--, state -= stride) {
        const value = source[state]!
        target[state] = value * scratch[level]! + above
        above += levels[level]! * value
      }
    }
  }
}

/** Distribution of the higher of two independent levels. */
export function higherOf(a: readonly number[], b: readonly number[]): number[] {
  let belowA = 0
  let reachB = 0
  return a.map((mass, level) => {
    const share = b[level]!
    reachB += share
    const joint = mass * reachB + belowA * share
    belowA += mass
    return joint
  })
}
