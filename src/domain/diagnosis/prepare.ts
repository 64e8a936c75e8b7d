import { DomainError } from '../errors.ts'
import { type Partition, partition } from './components.ts'
import { LogProduct } from './log-product.ts'
import { buildModel, type Model, writePosterior } from './model.ts'
import type { Evidence, Network } from './network.ts'
import { type ComponentResult, workComponent } from './pass.ts'
import type { QueryRoom } from './reweigh.ts'

export interface Inference {
  /** ln P(evidence). */
  logEvidence: number
  /** Posterior probability of each cause. */
  posterior: number[]
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
  /** What queries use: made when first asked for. */
  scratch: { room?: QueryRoom }
}

function impossible(model: Model, items: readonly number[]): DomainError {
  const effects = items.map((item) => model.items[item]!.effect)
  return new DomainError(
    'EVIDENCE_IMPOSSIBLE',
    `no cause and no leak can bring about effects ${effects.join(', ')} as observed`,
    { value: effects.join(', '), effects },
  )
}

/** Posteriors of the variables that only absent effects bear on, where they are not yet worked out; returns ln of their weight. */
function settle(
  { variables, weights, touched, totals }: Model,
  componentOf: readonly number[],
  posterior: number[],
): number {
  const product = new LogProduct()
  for (const variable of touched) {
    if (componentOf[variable]! >= 0) continue
    if (totals[variable] === 0) totals[variable] = writePosterior(posterior, variables[variable]!, weights)
    if (!(totals[variable]! > 0)) throw unsettled(variables[variable]!.options.slice(1).map(({ cause }) => cause))
    product.multiply(totals[variable]!)
  }
  return product.log
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

/** Results of a base that hold on top of it too, by component: where no new finding joins it and no weight has changed. */
function keptResults(base: Prepared, more: readonly Evidence[], { components }: Partition) {
  const { components: before, componentOf } = base.partition
  const indexOf = new Map(before.map(({ items }, index) => [items[0], index]))
  const changed = new Set<number>()
  for (const { effect } of more)
    for (const { cause } of base.network.effects[effect]!.links)
      changed.add(componentOf[base.model.variableOf[cause]!]!)
  return components.map(({ items }) => {
    const index = indexOf.get(items[0]!)
    const isSame = index !== undefined && !changed.has(index) && before[index]!.items.length === items.length
    return isSame ? base.results[index] : undefined
  })
}

/** What is worked through already, and the evidence that comes on top of it. */
interface OnTop {
  base: Prepared
  more: readonly Evidence[]
}

function workThrough(network: Network, evidence: readonly Evidence[], model: Model, onTop?: OnTop): Prepared {
  const base = onTop?.base
  const parts = partition(model)
  const kept = onTop === undefined ? [] : keptResults(onTop.base, onTop.more, parts)
  const posterior = (base === undefined ? network.prior : base.inference.posterior).slice()
  let logEvidence = model.logConstant
  let work = 0
  const results = parts.components.map((component, index) => {
    const result = kept[index] ?? workComponent(model, component, model.weights, posterior)
    if (!(result.evidence > 0)) throw impossible(model, component.items)
    logEvidence += Math.log(result.evidence)
    work += result.work
    return result
  })
  logEvidence += settle(model, parts.componentOf, posterior)
  const inference = { logEvidence, posterior, work }
  return { network, evidence, model, partition: parts, results, inference, scratch: {} }
}

/**
 * Exact inference: absorbs what is absent, splits what is present into components, passes states through each.
 * @throws DomainError EVIDENCE_IMPOSSIBLE when nothing can bring the evidence about; EVIDENCE_TOO_ENTANGLED over the cap
 * @source causal independence as a chain, D. Heckerman and J. Breese (1994), from memory; checked against enumeration
 */
export function prepare(network: Network, evidence: readonly Evidence[]): Prepared {
  return workThrough(network, evidence, buildModel(network, evidence))
}

/** The same with more evidence on top: only what the new items bear on is worked through again. */
export function prepareOnTop(base: Prepared, more: readonly Evidence[]): Prepared {
  const { network, model } = base
  const evidence = [...base.evidence, ...more]
  const isOnOthers = more.every(({ effect }) => base.evidence.every((known) => known.effect !== effect))
  if (!isOnOthers) return prepare(network, evidence)
  return workThrough(network, evidence, buildModel(network, more, model), { base, more })
}

/** Posterior of every cause and ln P(evidence), exactly. */
export function infer(network: Network, evidence: readonly Evidence[]): Inference {
  return prepare(network, evidence).inference
}
