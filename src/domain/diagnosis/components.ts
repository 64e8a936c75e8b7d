import { DomainError } from '../errors.ts'
import { assignmentCount } from './assignments.ts'
import { alikeOf } from './kinds.ts'
import type { Model, Variable, Weights } from './model.ts'
import { MAX_STATES } from './network.ts'

/** Items that share causes, with the variables that touch them. */
export interface Component {
  items: number[]
  /** Size of a step in the state array for each item, by position in `items`. */
  strides: number[]
  /** The same by item; holds for the items of this component only. */
  strideOf: Int32Array
  states: number
  /** Worked through by assignments of the shared variables, because these are fewer than the states. */
  isByAssignment: boolean
  /** By position: the same number for items that leak, shared variables and evidence treat alike; only by assignment. */
  alike: readonly number[]
  /** Variables linked to two or more of the items. */
  shared: number[]
  /** Variables linked to one item only, by position in `items`. */
  own: number[][]
}
export interface Partition {
  components: Component[]
  /** Component of each variable; -1 when it is linked to no active item. */
  componentOf: number[]
}

const NONE: readonly number[] = []

/** Active items that the present options of a variable reach, each once. */
export function itemsOf({ options, first }: Variable, weights: Weights): readonly number[] {
  let items: number[] | undefined
  for (let option = 1; option < options.length; option++) {
    const { links } = options[option]!
    if (links.length === 0 || !(weights[first + option]! > 0)) continue
    items ??= []
    for (const { item } of links) if (!items.includes(item)) items.push(item)
  }
  return items ?? NONE
}

function findRoot(parents: readonly number[], item: number): number {
  let root = item
  while (parents[root] !== root) root = parents[root]!
  return root
}

function roots(model: Model, reached: readonly (readonly number[])[]): number[] {
  const parents = model.items.map((_, item) => item)
  for (const items of reached)
    for (let position = 1; position < items.length; position++)
      parents[findRoot(parents, items[position]!)] = findRoot(parents, items[0]!)
  return model.items.map((_, item) => findRoot(parents, item))
}

/** How much more an assignment costs than a state (measured). */
const ASSIGNMENT_COST = 8

function isCheaperByAssignment({ states }: Component, assignments: number): boolean {
  return assignments * ASSIGNMENT_COST < states || (states > MAX_STATES && assignments <= MAX_STATES)
}

/** Refuses a component that is too large either way, naming what ties it together. */
function checkSize({ states, items, shared }: Component, model: Model): void {
  const size = Math.min(states, assignmentCount(model, shared))
  if (size <= MAX_STATES) return
  const effects = items.map((item) => model.items[item]!.effect)
  const causes = shared.flatMap((variable) => model.variables[variable]!.options.slice(1).map(({ cause }) => cause))
  throw new DomainError(
    'EVIDENCE_TOO_ENTANGLED',
    `findings that share causes must need at most ${MAX_STATES} states, got ${size}: leave the least certain of them out`,
    { limit: MAX_STATES, value: size, effects, causes },
  )
}

function layOut(items: number[], model: Model, strideOf: Int32Array): Component {
  const strides: number[] = []
  let states = 1
  for (const item of items) {
    strides.push(states)
    strideOf[item] = states
    states *= model.items[item]!.leak.length
  }
  return { items, strides, strideOf, states, isByAssignment: false, alike: [], shared: [], own: items.map(() => []) }
}

/** A component with some of its items only; the variables they share stay what they were. */
export function reduced(model: Model, component: Component, positions: readonly number[]): Component {
  const rest = layOut(
    positions.map((position) => component.items[position]!),
    model,
    new Int32Array(model.items.length),
  )
  const { isByAssignment, shared, alike, own } = component
  return {
    ...rest,
    isByAssignment,
    shared,
    alike: isByAssignment ? positions.map((position) => alike[position]!) : alike,
    own: positions.map((position) => own[position]!),
  }
}

/** Splits the active items into components through the causes they share. */
export function partition(model: Model): Partition {
  const linked: number[] = []
  const reached: (readonly number[])[] = []
  for (const variable of model.linked) {
    const items = itemsOf(model.variables[variable]!, model.weights)
    if (items.length === 0) continue
    linked.push(variable)
    reached.push(items)
  }
  const rootOf = roots(model, reached)
  const byRoot = new Map<number, number[]>()
  rootOf.forEach((root, item) => {
    const items = byRoot.get(root)
    if (items === undefined) byRoot.set(root, [item])
    else items.push(item)
  })
  const strideOf = new Int32Array(model.items.length)
  const components = [...byRoot.values()].map((items) => layOut(items, model, strideOf))
  const indexOf = new Map([...byRoot.keys()].map((root, index) => [root, index]))
  const componentOf = new Array<number>(model.variables.length).fill(-1)
  reached.forEach((items, position) => {
    const variable = linked[position]!
    const index = indexOf.get(rootOf[items[0]!]!)!
    const component = components[index]!
    componentOf[variable] = index
    if (items.length > 1) component.shared.push(variable)
    else component.own[component.items.indexOf(items[0]!)]!.push(variable)
  })
  for (const component of components) {
    component.isByAssignment = isCheaperByAssignment(component, assignmentCount(model, component.shared))
    checkSize(component, model)
    if (component.isByAssignment) component.alike = alikeOf(model, component.items, component.shared)
  }
  return { components, componentOf }
}
