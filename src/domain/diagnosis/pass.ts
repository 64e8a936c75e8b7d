import type { Component } from './components.ts'
import type { Model, Option, Variable } from './model.ts'
import { higherOf, pullInto, spreadInto } from './spread.ts'

/** Weight of each option of each variable: the model's own, or those of a query on top of it. */
export type Weights = (variable: number, option: number) => number

export const modelWeights =
  (model: Model): Weights =>
  (variable, option) =>
    model.variables[variable]!.options[option]!.weight

/** What a component's evidence comes to, and the joint weight of each option of its variables with that evidence. */
export interface ComponentResult {
  /** Weight of the evidence of this component. */
  evidence: number
  /** Joint weight of evidence and option, by variable of the component. */
  joint: Map<number, number[]>
  /** For each item: joint weight of "its leak reached level b" for each b. */
  leak: number[][]
  /** Counted state updates. */
  work: number
}

/** Distribution over an item's levels that a variable brings about by itself, weights included. */
function contribution(variable: Variable, index: number, item: number, size: number, weights: Weights): number[] {
  const sum = new Array<number>(size).fill(0)
  variable.options.forEach((option, position) => {
    const weight = weights(index, position)
    const link = option.links.find((candidate) => candidate.item === item)
    if (!link) sum[0]! += weight
    else for (let level = 0; level < size; level++) sum[level]! += weight * link.levels[level]!
  })
  return sum
}

const top = (size: number): number[] => Array.from({ length: size }, (_, level) => (level === 0 ? 1 : 0))
const dot = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0
  for (let index = 0; index < a.length; index++) sum += a[index]! * b[index]!
  return sum
}

/** The leak and the own variables of each item, folded into one distribution. */
function backgrounds(model: Model, component: Component, weights: Weights): { parts: number[][]; whole: number[] }[] {
  return component.items.map((item, position) => {
    const { leak } = model.items[item]!
    const parts = [
      [...leak],
      ...component.own[position]!.map((variable) =>
        contribution(model.variables[variable]!, variable, item, leak.length, weights),
      ),
    ]
    return { parts, whole: parts.reduce(higherOf, top(leak.length)) }
  })
}

/** Product over the items of one vector each, for every state. */
function outer(component: Component, vectors: readonly (readonly number[])[]): Float64Array {
  const product = new Float64Array(component.states)
  product[0] = 1
  vectors.forEach((vector, position) => {
    const stride = component.strides[position]!
    for (let level = vector.length - 1; level >= 0; level--)
      for (let state = 0; state < stride; state++) product[level * stride + state] = product[state]! * vector[level]!
  })
  return product
}

class Pass {
  readonly model: Model
  readonly component: Component
  readonly weights: Weights
  readonly scratch: Float64Array
  readonly moved: Float64Array
  work = 0

  constructor(model: Model, component: Component, weights: Weights) {
    this.model = model
    this.component = component
    this.weights = weights
    this.scratch = new Float64Array(Math.max(...component.items.map((item) => model.items[item]!.leak.length)))
    this.moved = new Float64Array(component.states)
  }

  /** Applies an option's links to `source`, into `this.moved`. */
  apply(option: Option, source: Float64Array, operate: typeof spreadInto): Float64Array {
    const { component, moved, scratch } = this
    moved.set(source)
    for (const { item, levels } of option.links)
      operate(moved, moved, component.strides[component.items.indexOf(item)]!, levels, scratch)
    this.work += component.states * option.links.length
    return moved
  }

  /** One step over a variable: the sum of its options, each by its weight. */
  step(variable: number, source: Float64Array, operate: typeof spreadInto): Float64Array {
    const next = new Float64Array(source.length)
    this.model.variables[variable]!.options.forEach((option, position) => {
      const weight = this.weights(variable, position)
      if (weight === 0) return
      const moved = this.apply(option, source, operate)
      for (let state = 0; state < next.length; state++) next[state]! += weight * moved[state]!
    })
    return next
  }
}

/** Weight of a component's evidence: the forward pass alone. */
export function componentEvidence(
  model: Model,
  component: Component,
  weights: Weights,
): { evidence: number; work: number } {
  const pass = new Pass(model, component, weights)
  let state = outer(
    component,
    backgrounds(model, component, weights).map(({ whole }) => whole),
  )
  for (const variable of component.shared) state = pass.step(variable, state, spreadInto)
  const end = outer(
    component,
    component.items.map((item) => model.items[item]!.weights),
  )
  return { evidence: dot(state, end), work: pass.work + component.states }
}

/** For an item: value of each level its background may have, the other items' backgrounds summed over. */
function valueOfLevels(
  component: Component,
  position: number,
  start: Float64Array,
  value: Float64Array,
  own: readonly number[],
  rest: Float64Array,
): number[] {
  const stride = component.strides[position]!
  const sums = own.map(() => 0)
  for (let state = 0; state < start.length; state++) {
    const level = Math.floor(state / stride) % own.length
    sums[level]! += rest[state]! * value[state]!
  }
  return sums
}

/** Joint weights of the leak and of each own variable of one item, by prefix and suffix products: nothing is divided out. */
function ownJoints(
  model: Model,
  item: number,
  own: readonly number[],
  parts: readonly number[][],
  value: readonly number[],
  weights: Weights,
  result: ComponentResult,
): void {
  const size = value.length
  const prefix = [top(size)]
  for (const part of parts) prefix.push(higherOf(prefix.at(-1)!, part))
  const suffix: number[][] = new Array(parts.length + 1)
  suffix[parts.length] = top(size)
  for (let index = parts.length - 1; index >= 0; index--) suffix[index] = higherOf(parts[index]!, suffix[index + 1]!)
  parts.forEach((part, index) => {
    const rest = higherOf(prefix[index]!, suffix[index + 1]!)
    const joint = (levels: readonly number[]) => dot(higherOf(rest, levels), value)
    if (index === 0)
      result.leak.push(part.map((share, level) => joint(part.map((_, other) => (other === level ? share : 0)))))
    else {
      const variable = own[index - 1]!
      result.joint.set(
        variable,
        model.variables[variable]!.options.map((option, position) => {
          const levels = option.links.find((link) => link.item === item)?.levels ?? top(size)
          return weights(variable, position) * joint(levels)
        }),
      )
    }
  })
}

/** Forward and backward over a component: evidence and the joint weight of every option in it. */
export function componentJoints(model: Model, component: Component, weights: Weights): ComponentResult {
  const pass = new Pass(model, component, weights)
  const background = backgrounds(model, component, weights)
  const start = outer(
    component,
    background.map(({ whole }) => whole),
  )
  const forward = [start]
  for (const variable of component.shared) forward.push(pass.step(variable, forward.at(-1)!, spreadInto))
  const result: ComponentResult = { evidence: 0, joint: new Map(), leak: [], work: 0 }
  let value = outer(
    component,
    component.items.map((item) => model.items[item]!.weights),
  )
  result.evidence = dot(forward.at(-1)!, value)
  for (let step = component.shared.length - 1; step >= 0; step--) {
    const variable = component.shared[step]!
    const { options } = model.variables[variable]!
    const joint = options.map((option, position) => {
      const weight = weights(variable, position)
      return weight === 0 ? 0 : weight * dot(forward[step]!, pass.apply(option, value, pullInto))
    })
    result.joint.set(variable, joint)
    value = pass.step(variable, value, pullInto)
  }
  component.items.forEach((item, position) => {
    const others = background.map(({ whole }, index) => (index === position ? whole.map(() => 1) : whole))
    const rest = outer(component, others)
    const levels = valueOfLevels(component, position, start, value, background[position]!.whole, rest)
    ownJoints(model, item, component.own[position]!, background[position]!.parts, levels, weights, result)
  })
  result.work = pass.work + component.states * (component.items.length + 2)
  return result
}
