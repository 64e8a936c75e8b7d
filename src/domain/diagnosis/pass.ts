import { evidenceByAssignment, jointsByAssignment } from './assignments.ts'
import { type Background, backgroundsOf, ownPosteriors } from './background.ts'
import type { Component } from './components.ts'
import { type Model, type Option, type Weights, writePosterior } from './model.ts'
import { dot, extend, type Operate, outerInto, pullInto, type States, spreadInto, sumOut } from './spread.ts'

/** What a component's evidence comes to. */
export interface ComponentResult {
  /** Weight of the evidence of this component. */
  evidence: number
  /** For each item the value of each level that its background may have. */
  values: readonly ArrayLike<number>[]
  backgrounds: readonly Background[]
  /** Counted state updates. */
  work: number
}

/** Room for the state arrays of one pass, used again by the next. */
let spare = new Float64Array(1024)

function roomFor(size: number): Float64Array {
  if (spare.length < size) spare = new Float64Array(2 * size)
  return spare
}

/** More room than this is given back after a pass. */
const KEPT_ROOM = 1 << 16

function giveBack(): void {
  if (spare.length > KEPT_ROOM) spare = new Float64Array(1024)
}

class Pass implements States {
  readonly room: Float64Array
  readonly count: number
  readonly scratch: Float64Array
  work = 0
  readonly #model: Model
  readonly #component: Component
  readonly #weights: Weights
  /** Place where one option's links are followed. */
  readonly #moved: number

  /** @param arrays - how many state arrays are needed beside the one for the links of an option */
  constructor(model: Model, component: Component, weights: Weights, arrays: number) {
    this.count = component.states
    this.room = roomFor((arrays + 1) * this.count)
    this.scratch = new Float64Array(Math.max(...component.items.map((item) => model.items[item]!.leak.length)))
    this.#model = model
    this.#component = component
    this.#weights = weights
    this.#moved = arrays * this.count
  }

  /** Place of what an option's links make of what stands at a place; holds until the next call. */
  #apply({ links }: Option, from: number, operate: Operate): number {
    let at = from
    for (const { item, levels } of links) {
      operate(this, this.#moved, at, this.#component.strideOf[item]!, levels)
      at = this.#moved
    }
    this.work += this.count * links.length
    return at
  }

  #scale(to: number, from: number, weight: number): void {
    const { room, count } = this
    for (let state = 0; state < count; state++) room[to + state] = weight * room[from + state]!
  }

  #add(to: number, from: number, weight: number): void {
    const { room, count } = this
    for (let state = 0; state < count; state++) room[to + state]! += weight * room[from + state]!
  }

  /** Scalar product of two arrays. */
  dot(a: number, b: number): number {
    const { room, count } = this
    let sum = 0
    for (let state = 0; state < count; state++) sum += room[a + state]! * room[b + state]!
    return sum
  }

  outer(to: number, vectors: readonly ArrayLike<number>[]): void {
    outerInto(this.room, to, this.#component.strides, vectors)
  }

  /** Weight of each level at which the items were seen. */
  observed(to: number): void {
    this.outer(
      to,
      this.#component.items.map((item) => this.#model.items[item]!.weights),
    )
  }

  /** One step over a variable: the sum of its options, each by its weight. */
  step(variable: number, from: number, to: number): void {
    const { options, first } = this.#model.variables[variable]!
    this.#scale(to, from, this.#weights[first]!)
    for (let option = 1; option < options.length; option++) {
      const weight = this.#weights[first + option]!
      if (weight > 0) this.#add(to, this.#apply(options[option]!, from, spreadInto), weight)
    }
  }

  /** A step backward; writes the joint weight of each option where the forward pass had come to. */
  stepBack(variable: number, value: number, to: number, forward: number, joints: Float64Array): void {
    const { options, first } = this.#model.variables[variable]!
    const none = this.#weights[first]!
    this.#scale(to, value, none)
    joints[first] = none * this.dot(forward, value)
    for (let option = 1; option < options.length; option++) {
      const weight = this.#weights[first + option]!
      joints[first + option] = 0
      if (!(weight > 0)) continue
      const moved = this.#apply(options[option]!, value, pullInto)
      joints[first + option] = weight * this.dot(forward, moved)
      this.#add(to, moved, weight)
    }
  }

  /**
   * For each item the value of each level its background may have, the backgrounds of the other items summed over:
   * items above it are summed out from the top, items below it are kept as a product that grows.
   *
   * @param free - place of two arrays that may be written over
   */
  valuesOfLevels(wholes: readonly ArrayLike<number>[], value: number, free: number): number[][] {
    const { room, count } = this
    const { strides } = this.#component
    const summed = new Array<number>(wholes.length).fill(value)
    for (let position = wholes.length - 1, to = free; position > 0; position--) {
      sumOut(room, to, summed[position]!, strides[position]!, wholes[position]!)
      summed[position - 1] = to
      to += strides[position]!
    }
    const below = free + count
    room[below] = 1
    return wholes.map((whole, position) => {
      const values = this.#levelSums(whole.length, strides[position]!, below, summed[position]!)
      extend(room, below, strides[position]!, whole)
      return values
    })
  }

  #levelSums(levels: number, stride: number, below: number, summed: number): number[] {
    const { room } = this
    const values: number[] = []
    for (let level = 0; level < levels; level++) {
      let sum = 0
      for (let state = 0; state < stride; state++) sum += room[below + state]! * room[summed + level * stride + state]!
      values.push(sum)
    }
    return values
  }
}

/** Weight of a component's evidence: the forward pass alone, from the folded backgrounds of its items. */
export function componentEvidence(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: readonly Float64Array[],
): { evidence: number; work: number } {
  if (component.isByAssignment) return evidenceByAssignment(model, component, weights, wholes)
  const { items, shared, states } = component
  if (items.length === 1 && shared.length === 0)
    return { evidence: dot(wholes[0]!, model.items[items[0]!]!.weights), work: states }
  const pass = new Pass(model, component, weights, 2)
  let [state, next] = [0, states]
  pass.outer(state, wholes)
  for (const variable of shared) {
    pass.step(variable, state, next)
    ;[state, next] = [next, state]
  }
  pass.observed(next)
  const evidence = pass.dot(state, next)
  giveBack()
  return { evidence, work: pass.work + states }
}

/** Forward and backward over a component by states. */
function jointsByStates(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: readonly Float64Array[],
  joints: Float64Array,
): Omit<ComponentResult, 'backgrounds'> {
  const { shared, states } = component
  const pass = new Pass(model, component, weights, shared.length + 4)
  pass.outer(0, wholes)
  shared.forEach((variable, step) => {
    pass.step(variable, step * states, (step + 1) * states)
  })
  const last = shared.length * states
  let [value, next] = [last + states, last + 2 * states]
  pass.observed(value)
  const evidence = pass.dot(last, value)
  for (let step = shared.length - 1; step >= 0; step--) {
    pass.stepBack(shared[step]!, value, next, step * states, joints)
    ;[value, next] = [next, value]
  }
  return { evidence, values: pass.valuesOfLevels(wholes, value, last + 3 * states), work: pass.work + 4 * states }
}

/** A finding that shares no cause with another: what it was seen as is the value of its background. */
function single(model: Model, { items, states }: Component, wholes: readonly Float64Array[]) {
  const { weights } = model.items[items[0]!]!
  return { evidence: dot(wholes[0]!, weights), values: [weights], work: states }
}

/** Room for the joint weights of the options of shared variables, laid out as the weights are. */
let joints = new Float64Array(1024)

/**
 * Forward and backward over a component: its evidence, and the posterior of every cause of its variables.
 * @param posterior - where the posteriors are written
 * @param backgrounds - those of the items, where they are known
 */
export function workComponent(
  model: Model,
  component: Component,
  weights: Weights,
  posterior: number[],
  backgrounds: readonly Background[] = backgroundsOf(model, component, weights),
): ComponentResult {
  const wholes = backgrounds.map(({ whole }) => whole)
  const result = passOver(model, component, weights, wholes)
  for (const variable of component.shared) writePosterior(posterior, model.variables[variable]!, joints)
  for (let position = 0; position < backgrounds.length; position++)
    ownPosteriors(backgrounds[position]!, result.values[position]!, weights, posterior)
  const { evidence, values, work } = result
  return { evidence, values, work, backgrounds }
}

function passOver(
  model: Model,
  component: Component,
  weights: Weights,
  wholes: readonly Float64Array[],
): Omit<ComponentResult, 'backgrounds'> {
  if (component.items.length === 1 && component.shared.length === 0) return single(model, component, wholes)
  if (joints.length < weights.length) joints = new Float64Array(weights.length)
  if (component.isByAssignment) return jointsByAssignment(model, component, weights, wholes, joints)
  const result = jointsByStates(model, component, weights, wholes, joints)
  giveBack()
  return result
}
