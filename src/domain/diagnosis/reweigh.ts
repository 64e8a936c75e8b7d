import { refolded } from './background.ts'
import type { Model, Variable, Weights } from './model.ts'
import { componentJoints } from './pass.ts'
import { eachVariable, type Prepared, writePosterior } from './prepare.ts'

export interface Reweighed {
  /** Weight of the evidence after the change, as a share of its weight before. */
  probability: number
  posterior: Float64Array
  /** Variables whose causes may have another posterior than before. */
  moved: readonly number[]
  work: number
}

/** A factor on the weight of "this cause is present"; finite and >= 0. */
export interface Change {
  cause: number
  factor: number
}

/** Variables that changed causes belong to: by component, and those that are in none; each once. */
function changedVariables({ model, partition }: Prepared, changes: readonly Change[]) {
  const loose: number[] = []
  const inside = new Map<number, number[]>()
  for (const { cause } of changes) {
    const variable = model.variableOf[cause]!
    const component = partition.componentOf[variable]!
    const list = component < 0 ? loose : (inside.get(component) ?? [])
    if (component >= 0) inside.set(component, list)
    // Only causes that exclude each other share a variable.
    if (model.variables[variable]!.options.length > 2 && list.includes(variable)) continue
    list.push(variable)
  }
  return { loose, inside }
}

/** Puts factors on the weights of causes. */
function applyChanges({ variables, variableOf, optionOf }: Model, weights: Weights, changes: readonly Change[]): void {
  for (const { cause, factor } of changes) weights[variables[variableOf[cause]!]!.first + optionOf[cause]!]! *= factor
}

/** Puts the weights of causes back. */
function restore(
  { variables, variableOf, optionOf, weights: own }: Model,
  weights: Weights,
  changes: readonly Change[],
) {
  for (const { cause } of changes) {
    const at = variables[variableOf[cause]!]!.first + optionOf[cause]!
    weights[at] = own[at]!
  }
}

function totalOf({ options, first }: Variable, weights: Weights): number {
  let total = 0
  for (let option = 0; option < options.length; option++) total += weights[first + option]!
  return total
}

/**
 * The evidence and the posteriors after the weight of some causes is multiplied by factors.
 *
 * Only components and loose variables that a changed cause belongs to are worked through again.
 */
export function reweigh(prepared: Prepared, changes: readonly Change[]): Reweighed {
  const { model, partition, results, inference, scratch } = prepared
  const { variables } = model
  scratch.weights ??= model.weights.slice()
  const { weights, joints } = scratch
  const { loose, inside } = changedVariables(prepared, changes)
  applyChanges(model, weights, changes)
  const posterior = inference.posterior.slice()
  const moved = loose
  let probability = 1
  let work = 0
  for (const variable of loose)
    probability *=
      writePosterior(posterior, variables[variable]!, weights) / totalOf(variables[variable]!, model.weights)
  for (const [index, changed] of inside) {
    const component = partition.components[index]!
    const { backgrounds, evidence } = results[index]!
    const folded = refolded(model, component, weights, backgrounds, changed)
    const result = componentJoints(model, component, weights, joints, folded)
    probability *= result.evidence / evidence
    work += result.work
    eachVariable(component, (variable) => {
      moved.push(variable)
      writePosterior(posterior, variables[variable]!, joints)
    })
  }
  restore(model, weights, changes)
  if (probability > 0) return { probability, posterior, moved, work }
  return { probability: 0, posterior: inference.posterior, moved: [], work }
}

/** How the priors of each changed variable add up after the change: what they must be divided by. */
function normaliserOf({ model, network }: Prepared, changes: readonly Change[]): number {
  const totals = new Map<number, number>()
  let normaliser = 1
  for (const { cause, factor } of changes) {
    const variable = model.variableOf[cause]!
    const change = network.prior[cause]! * (factor - 1)
    if (model.variables[variable]!.options.length === 2) normaliser *= 1 + change
    else totals.set(variable, (totals.get(variable) ?? 1) + change)
  }
  for (const total of totals.values()) normaliser *= total
  return normaliser
}

/**
 * The evidence and the posteriors if the prior odds of some causes were multiplied by factors: what another circumstance
 * would mean for everything known so far.
 *
 * new weight = weight * factor / (sum over the variable of prior * factor)
 *
 * @param changes - each cause at most once; 0 removes a cause
 * @returns `probability` is P(evidence | factors) / P(evidence)
 */
export function reweighOdds(prepared: Prepared, changes: readonly Change[]): Reweighed {
  const changed = reweigh(prepared, changes)
  return { ...changed, probability: changed.probability / normaliserOf(prepared, changes) }
}

/** The same with the factors by cause. */
export const reweighPrior = (prepared: Prepared, factors: ReadonlyMap<number, number>): Reweighed =>
  reweighOdds(
    prepared,
    Array.from(factors, ([cause, factor]) => ({ cause, factor })),
  )
