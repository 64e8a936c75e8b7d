import { DomainError } from '../errors.ts'
import { type Component, type Partition, partition } from './components.ts'
import { buildModel, type Model, type Variable, type Weights } from './model.ts'
import type { Evidence, Network } from './network.ts'
import { type ComponentResult, componentJoints } from './pass.ts'

export interface Inference {
  /** ln P(evidence). */
  logEvidence: number
  /** Posterior probability of each cause. */
  posterior: Float64Array
  /** Counted state updates. */
  work: number
}
/** Evidence worked through once, so that queries on top of it are cheap. */
export interface Prepared {
  network: Network
  evidence: readonly Evidence[]
  model: Model
  partition: Partition
  results: ComponentResult[]
  inference: Inference
  /** Weights that a query may change and must put back, and room for its joint weights. */
  scratch: { weights: Weights; joints: Float64Array }
}

function impossible(model: Model, items: readonly number[]): DomainError {
  const effects = items.map((item) => model.items[item]!.effect)
  return new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `no cause and no leak can bring about effects ${effects.join(', ')} as observed`,
    { value: effects.join(', '), effects },
  )
}

/** Posterior of each cause of a variable from the joint weights of its options; returns their sum. */
export function writePosterior(posterior: Float64Array, { options, first }: Variable, joints: Float64Array): number {
  let total = 0
  for (let option = 0; option < options.length; option++) total += joints[first + option]!
  if (total > 0)
    for (let option = 1; option < options.length; option++)
      posterior[options[option]!.cause] = joints[first + option]! / total
  return total
}

/** Calls back for every variable of a component. */
export function eachVariable({ shared, own }: Component, visit: (variable: number) => void): void {
  for (const variable of shared) visit(variable)
  for (const list of own) for (const variable of list) visit(variable)
}

/** Below this a running product is turned into its logarithm, far from where doubles lose digits. */
const LOG_BELOW = 1e-100

/** Posteriors of the variables that touch nothing observed above its lowest level; returns ln of their weight. */
function settle(model: Model, componentOf: Int32Array, posterior: Float64Array): number {
  let log = 0
  let product = 1
  for (let variable = 0; variable < model.variables.length; variable++) {
    if (componentOf[variable]! >= 0) continue
    const total = writePosterior(posterior, model.variables[variable]!, model.weights)
    if (!(total > 0)) throw unsettled(model.variables[variable]!.options.slice(1).map(({ cause }) => cause))
    product *= total
    if (product < LOG_BELOW) {
      log += Math.log(product)
      product = 1
    }
  }
  return log + Math.log(product)
}

function unsettled(causes: readonly number[]): DomainError {
  const names = causes.join(', ')
  return new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `absent effects rule out both presence and absence of causes ${names}`,
    {
      value: names,
    },
  )
}

/**
 * Exact inference: absorbs what is absent, splits what is present into components, passes states through each.
 * @throws DomainError EVIDENCE_IMPOSSIBLE when nothing can bring the evidence about; EVIDENCE_TOO_ENTANGLED over the cap
 * @source causal independence as a chain, D. Heckerman and J. Breese (1994), from memory; checked against enumeration
 */
export function prepare(network: Network, evidence: readonly Evidence[]): Prepared {
  const model = buildModel(network, evidence)
  const parts = partition(model)
  const posterior = new Float64Array(network.prior.length)
  const joints = new Float64Array(model.weights.length)
  let logEvidence = model.logConstant
  let work = 0
  const results = parts.components.map((component) => {
    const result = componentJoints(model, component, model.weights, joints)
    if (!(result.evidence > 0)) throw impossible(model, component.items)
    logEvidence += Math.log(result.evidence)
    work += result.work
    eachVariable(component, (variable) => writePosterior(posterior, model.variables[variable]!, joints))
    return result
  })
  logEvidence += settle(model, parts.componentOf, posterior)
  const inference = { logEvidence, posterior, work }
  const scratch = { weights: model.weights.slice(), joints }
  return { network, evidence, model, partition: parts, results, inference, scratch }
}

/** Posterior of every cause and ln P(evidence), exactly. */
export function infer(network: Network, evidence: readonly Evidence[]): Inference {
  return prepare(network, evidence).inference
}
