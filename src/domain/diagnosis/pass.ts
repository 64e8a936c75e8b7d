import { evidenceByAssignment, jointsByAssignment } from './assignments.ts'
import { type Background, backgroundsOf, outer, valuesOfLevels } from './background.ts'
import type { Component } from './components.ts'
import type { Model, Option, Weights } from './model.ts'
import { ownJoints } from './own-joints.ts'
import { dot, type Operate, pullInto, spreadInto } from './spread.ts'

/** What a component's evidence comes to. */
export interface ComponentResult {
  /** Weight of the evidence of this component. */
  evidence: number
  /** For each item: joint weight of "its leak reached level b" for each b. */
  leak: number[][]
  /** Background of each item. */
  backgrounds: readonly Background[]
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
    const { options, first } = this.model.variables[variable]!
    const next = scaled(source, this.weights[first]!)
    for (let option = 1; option < options.length; option++) {
      const weight = this.weights[first + option]!
      if (weight > 0) add(next, this.apply(options[option]!, source, operate), weight)
    }
    return next
  }

  /** A step backward; writes the joint weight of each option where the forward pass had come to. */
  stepBack(variable: number, value: Float64Array, forward: Float64Array, joints: Float64Array): Float64Array {
    const { options, first } = this.model.variables[variable]!
    const none = this.weights[first]!
    const next = scaled(value, none)
    joints[first] = none * dot(forward, value)
    for (let option = 1; option < options.length; option++) {
      const weight = this.weights[first + option]!
      joints[first + option] = 0
      if (!(weight > 0)) continue
      const moved = this.apply(options[option]!, value, pullInto)
      joints[first + option] = weight * dot(forward, moved)
      add(next, moved, weight)
    }
    return next
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

/** Weight of a component's evidence: the forward pass alone, from the backgrounds of its items. */
export function componentEvidence(
  model: Model,
  component: Component,
  weights: Weights,
  backgrounds: readonly Background[],
): { evidence: number; work: number } {
  if (component.isByAssignment) return evidenceByAssignment(model, component, weights, backgrounds)
  const pass = new Pass(model, component, weights)
  let state = outer(
    component,
    backgrounds.map(({ whole }) => whole),
  )
  for (const variable of component.shared) state = pass.step(variable, state, spreadInto)
  return { evidence: dot(state, observed(model, component)), work: pass.work + component.states }
}

/**
 * Forward and backward over a component: its evidence, and the joint weight of evidence and option for every option of
 * its variables.
 * @param joints - where the joint weights are written, laid out as the weights are
 */
export function componentJoints(
  model: Model,
  component: Component,
  weights: Weights,
  joints: Float64Array,
): ComponentResult {
  const backgrounds = backgroundsOf(model, component, weights)
  if (component.isByAssignment) return jointsByAssignment(model, component, weights, backgrounds, joints)
  const pass = new Pass(model, component, weights)
  const forward = [
    outer(
      component,
      backgrounds.map(({ whole }) => whole),
    ),
  ]
  for (const variable of component.shared) forward.push(pass.step(variable, forward.at(-1)!, spreadInto))
  let value = observed(model, component)
  const evidence = dot(forward.at(-1)!, value)
  for (let step = component.shared.length - 1; step >= 0; step--)
    value = pass.stepBack(component.shared[step]!, value, forward[step]!, joints)
  const values = valuesOfLevels(component, backgrounds, value)
  const leak = component.items.map((item, position) => {
    const own = component.own[position]!
    return ownJoints(
      model,
      { item, own, background: backgrounds[position]!, value: values[position]! },
      weights,
      joints,
    )
  })
  return { evidence, leak, backgrounds, work: pass.work + 4 * component.states }
}
