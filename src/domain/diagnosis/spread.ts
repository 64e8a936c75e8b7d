/**
 * State arrays hold one number for each combination of levels of a component's items, in mixed radix:
 * an item with stride s and n levels has level floor(state / s) mod n. Several of them stand in one room, each at its place.
 */
export interface States {
  room: Float64Array
  /** Numbers in one array. */
  count: number
  /** A few numbers of room more, for the levels of one item. */
  scratch: Float64Array
}

/** Moves mass from one place along one item's links to another; both may be the same place. */
export type Operate = (states: States, to: number, from: number, stride: number, levels: readonly number[]) => void

/** Moves mass to the higher of the level it has and the level a link brings about. */
export const spreadInto: Operate = (states, to, from, stride, levels) => {
  if (levels.length === 2) spreadTwo(states, to, from, stride, levels[0]!, levels[1]!)
  else spreadMany(states, to, from, stride, levels)
}

/** The transpose of `spreadInto`: from the value of the state reached to the expected value of the state left. */
export const pullInto: Operate = (states, to, from, stride, levels) => {
  if (levels.length === 2) pullTwo(states, to, from, stride, levels[0]!, levels[1]!)
  else pullMany(states, to, from, stride, levels)
}

function spreadTwo(
  { room, count }: States,
  to: number,
  from: number,
  stride: number,
  stay: number,
  move: number,
): void {
  const all = stay + move
  for (let base = 0; base < count; base += 2 * stride) {
    for (let low = base; low < base + stride; low++) {
      const mass = room[from + low]!
      room[to + low + stride] = room[from + low + stride]! * all + mass * move
      room[to + low] = mass * stay
    }
  }
}

function pullTwo({ room, count }: States, to: number, from: number, stride: number, stay: number, move: number): void {
  const all = stay + move
  for (let base = 0; base < count; base += 2 * stride) {
    for (let low = base; low < base + stride; low++) {
      const value = room[from + low + stride]!
      room[to + low] = room[from + low]! * stay + value * move
      room[to + low + stride] = value * all
    }
  }
}

function spreadMany(states: States, to: number, from: number, stride: number, levels: readonly number[]): void {
  const { room, count, scratch } = states
  const size = levels.length
  for (let base = 0; base < count; base += stride * size) {
    for (let offset = base; offset < base + stride; offset++) {
      let below = 0
      let reach = 0
      for (let level = 0, state = from + offset; level < size; level++, state += stride) {
        const mass = room[state]!
        const share = levels[level]!
        reach += share
        scratch[level] = mass * reach + below * share
        below += mass
      }
      for (let level = 0, state = to + offset; level < size; level++, state += stride) room[state] = scratch[level]!
    }
  }
}

function pullMany(states: States, to: number, from: number, stride: number, levels: readonly number[]): void {
  const { room, count, scratch } = states
  const size = levels.length
  for (let level = 0, reach = 0; level < size; level++) {
    reach += levels[level]!
    scratch[level] = reach
  }
  for (let base = 0; base < count; base += stride * size) {
    for (let offset = base; offset < base + stride; offset++) {
      let above = 0
      for (let level = size - 1; level >= 0; level--) {
        const value = room[from + offset + level * stride]!
        room[to + offset + level * stride] = value * scratch[level]! + above
        above += levels[level]! * value
      }
    }
  }
}

/** Writes the product over the items of one vector each, for every state. */
export function outerInto(
  room: Float64Array,
  to: number,
  strides: readonly number[],
  vectors: readonly ArrayLike<number>[],
): void {
  room[to] = 1
  for (let position = 0; position < vectors.length; position++) extend(room, to, strides[position]!, vectors[position]!)
}

/** Goes from states of the items below to states of one item more. */
export function extend(room: Float64Array, to: number, stride: number, vector: ArrayLike<number>): void {
  for (let level = vector.length - 1; level >= 0; level--)
    for (let state = 0; state < stride; state++) room[to + level * stride + state] = room[to + state]! * vector[level]!
}

/** Sums the uppermost item out, each of its levels by a share. */
export function sumOut(room: Float64Array, to: number, from: number, stride: number, vector: ArrayLike<number>): void {
  for (let state = 0; state < stride; state++) {
    let sum = 0
    for (let level = 0; level < vector.length; level++) sum += vector[level]! * room[from + level * stride + state]!
    room[to + state] = sum
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
  target: Float64Array,
  to: number,
  a: Float64Array,
  atA: number,
  b: Float64Array,
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

/** The higher of what stands at a place and the level that a link brings about, put in its place. */
export function raise(target: Float64Array, at: number, levels: readonly number[]): void {
  let below = 0
  let reach = 0
  for (let level = 0; level < levels.length; level++) {
    const mass = target[at + level]!
    const share = levels[level]!
    reach += share
    target[at + level] = mass * reach + below * share
    below += mass
  }
}

/** Scalar product. */
export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0
  for (let index = 0; index < a.length; index++) sum += a[index]! * b[index]!
  return sum
}
