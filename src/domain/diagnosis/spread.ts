/**
 * State arrays hold one number for each combination of levels of a component's items, in mixed radix:
 * an item with stride s and n levels has level floor(state / s) mod n.
 */

/** Moves mass in `source` along one item's links into `target`; both may be the same array. */
export type Operate = (
  target: Float64Array,
  source: Float64Array,
  stride: number,
  levels: readonly number[],
  scratch: Float64Array,
) => void

/** Moves mass to the higher of the level it has and the level a link brings about. */
export const spreadInto: Operate = (target, source, stride, levels, scratch) => {
  if (levels.length === 2) spreadTwo(target, source, stride, levels[0]!, levels[1]!)
  else spreadMany(target, source, stride, levels, scratch)
}

/** The transpose of `spreadInto`: from the value of the state reached to the expected value of the state left. */
export const pullInto: Operate = (target, source, stride, levels, scratch) => {
  if (levels.length === 2) pullTwo(target, source, stride, levels[0]!, levels[1]!)
  else pullMany(target, source, stride, levels, scratch)
}

function spreadTwo(target: Float64Array, source: Float64Array, stride: number, stay: number, move: number): void {
  const all = stay + move
  for (let base = 0; base < source.length; base += 2 * stride) {
    for (let low = base; low < base + stride; low++) {
      const mass = source[low]!
      target[low + stride] = source[low + stride]! * all + mass * move
      target[low] = mass * stay
    }
  }
}

function pullTwo(target: Float64Array, source: Float64Array, stride: number, stay: number, move: number): void {
  const all = stay + move
  for (let base = 0; base < source.length; base += 2 * stride) {
    for (let low = base; low < base + stride; low++) {
      const value = source[low + stride]!
      target[low] = source[low]! * stay + value * move
      target[low + stride] = value * all
    }
  }
}

function spreadMany(
  target: Float64Array,
  source: Float64Array,
  stride: number,
  levels: readonly number[],
  scratch: Float64Array,
): void {
  const size = levels.length
  for (let base = 0; base < source.length; base += stride * size) {
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

function pullMany(
  target: Float64Array,
  source: Float64Array,
  stride: number,
  levels: readonly number[],
  scratch: Float64Array,
): void {
  const size = levels.length
  for (let level = 0, reach = 0; level < size; level++) {
    reach += levels[level]!
    scratch[level] = reach
  }
  for (let base = 0; base < source.length; base += stride * size) {
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
export function higherOf(a: ArrayLike<number>, b: readonly number[]): number[] {
  if (a.length === 2) return [a[0]! * b[0]!, a[1]! * (b[0]! + b[1]!) + a[0]! * b[1]!]
  let belowA = 0
  let reachB = 0
  const higher = new Array<number>(a.length)
  for (let level = 0; level < higher.length; level++) {
    reachB += b[level]!
    higher[level] = a[level]! * reachB + belowA * b[level]!
    belowA += a[level]!
  }
  return higher
}

/** The same between places in arrays, without a new one; the target may be either source at the same place. */
export function higherInto(
  target: { [at: number]: number },
  to: number,
  a: ArrayLike<number>,
  atA: number,
  b: ArrayLike<number>,
  atB: number,
  size: number,
): void {
  let belowA = 0
  let reachB = 0
  for (let level = 0; level < size; level++) {
    const mass = a[atA + level]!
    const share = b[atB + level]!
    reachB += share
    target[to + level] = mass * reachB + belowA * share
    belowA += mass
  }
}

/** Scalar product. */
export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0
  for (let index = 0; index < a.length; index++) sum += a[index]! * b[index]!
  return sum
}
