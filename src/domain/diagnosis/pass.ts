import { evidenceByAssignment, jointsByAssignment } from './assignments.ts'
import { backgroundsOf, outer, ownJoints, valuesOfLevels } from './background.ts'
import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { dot, type Operate, pullInto, spreadInto } from './spread.ts'

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

  /** What an option's links make of `source`; valid until the next call. */
  apply({ links }: Option, source: Float64Array, operate: Operate): Float64Array {
    const { component, moved, scratch } = this
    let from = source
    for (const { item, levels } of links) {
      operate(moved, from, component.strideOf[item]!, levels, scratch)
      from = moved
    }
    this.work += component.states * links.length
    return from
  }

  /** One step over a variable: the sum of its options, each by its weight. */
  step(variable: number, source: Float64Array, operate: Operate): Float64Array {
    const { options } = this.model.variables[variable]!
    const next = scaled(source, this.weights(variable, 0))
    for (let option = 1; option < options.length; option++) {
      const weight = this.weights(variable, option)
      if (weight > 0) add(next, this.apply(options[option]!, source, operate), weight)
    }
    return next
  }

  /** A step backward, with the joint weight of each option where the forward pass had come to. */
  stepBack(variable: number, value: Float64Array, forward: Float64Array): { value: Float64Array; joint: number[] } {
    const { options } = this.model.variables[variable]!
    const none = this.weights(variable, 0)
    const next = scaled(value, none)
    const joint = [none * dot(forward, value)]
    for (let option = 1; option < options.length; option++) {
      const weight = this.weights(variable, option)
      if (!(weight > 0)) {
        joint.push(0)
        continue
      }
      const moved = this.apply(options[option]!, value, pullInto)
      joint.push(weight * dot(forward, moved))
      add(next, moved, weight)
    }
    return { value: next, joint }
  }
}

function scaled(source: Float64Array, weight: number): Float64Array {
  const target = new Float64Array(source.length)
  for (let state = 0; state < target.length; state++) target[state] = weight * source[state]!
  return target
}

function add(target: Float64Array, source: Float64Array, weight: number): void {
  for (let state = 0; state < target.length; state++) target[state]! += weight * source[state]!
}

const observed = (model: Model, component: Component) =>
  outer(
    component,
    component.items.map((item) => model.items[item]!.weights),
  )

/** Weight of a component's evidence: the forward pass alone. */
export function componentEvidence(
  model: Model,
  component: Component,
  weights: Weights,
): { evidence: number; work: number } {
  if (component.isByAssignment) return evidenceByAssignment(model, component, weights)
  const pass = new Pass(model, component, weights)
  let state = outer(
    component,
    backgroundsOf(model, component, weights).map(({ whole }) => whole),
  )
  for (const variable of component.shared) state = pass.step(variable, state, spreadInto)
  return { evidence: dot(state, observed(model, component)), work: pass.work + component.states }
}

/** Forward and backward over a component: evidence and the joint weight of every option in it. */
export function componentJoints(model: Model, component: Component, weights: Weights): ComponentResult {
  if (component.isByAssignment) return jointsByAssignment(model, component, weights)
  const pass = new Pass(model, component, weights)
  const backgrounds = backgroundsOf(model, component, weights)
  const forward = [
    outer(
      component,
      backgrounds.map(({ whole }) => whole),
    ),
  ]
  for (const variable of component.shared) forward.push(pass.step(variable, forward.at(-1)!, spreadInto))
  let value = observed(model, component)
  const result: ComponentResult = { evidence: dot(forward.at(-1)!, value), joint: new Map(), leak: [], work: 0 }
  for (let step = component.shared.length - 1; step >= 0; step--) {
    const variable = component.shared[step]!
    const back = pass.stepBack(variable, value, forward[step]!)
    value = back.value
    result.joint.set(variable, back.joint)
  }
  const values = valuesOfLevels(component, backgrounds, value)
  component.items.forEach((item, position) => {
    const own = component.own[position]!
    const joints = ownJoints(model, item, own, backgrounds[position]!, values[position]!, weights)
    result.leak.push(joints.leak)
    own.forEach((variable, index) => {
      result.joint.set(variable, joints.own[index]!)
    })
  })
  result.work = pass.work + 4 * component.states
  return result
}
