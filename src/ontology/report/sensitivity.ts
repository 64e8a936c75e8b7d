import { prepare } from '../../domain/diagnosis/prepare.ts'
import { baseRateOf, linkOf } from '../numbers.ts'
import type { Condition, Ontology } from '../shape.ts'

/** How far each number is moved: half a unit of natural log odds, about a factor of 1.6. */
const SHIFT = 0.5

export interface Sensitivity {
  /** Concept and field of the number. */
  number: string
  /** Change of what is believed when it moves, summed over conditions by how often they are met. */
  weight: number
  /** The condition whose answer moves most. */
  mostly: string
}

interface Slice {
  causes: string[]
  prior: number[]
  q: number[]
  leak: number
}

/** One condition with the causes that show it, on their own. */
function sliceOf({ cause, levels }: Ontology, condition: Condition): Slice {
  const linked = cause.flatMap(({ id, baseRate, shows }) => {
    const link = shows.find((shown) => shown.condition === condition.id)
    return link ? [{ id, prior: baseRateOf(levels, baseRate) ?? 0, q: linkOf(levels, link.q) ?? 0 }] : []
  })
  return {
    causes: linked.map(({ id }) => id),
    prior: linked.map(({ prior }) => prior),
    q: linked.map(({ q }) => q),
    leak: linkOf(levels, condition.leak) ?? 0,
  }
}

function posteriorOf({ prior, q, leak }: Slice) {
  const links = q.map((value, cause) => ({ cause, levels: [1 - value, value] }))
  const effects = [{ leak: [1 - leak, leak], links }]
  const { inference } = prepare({ prior, groups: [], effects }, [{ effect: 0, weights: [0, 1] }])
  return inference
}

/** The probability with its log odds moved up. */
function moved(probability: number): number {
  const odds = (probability / (1 - probability)) * Math.exp(SHIFT)
  return Number.isFinite(odds) ? odds / (1 + odds) : probability
}
const replaced = (values: readonly number[], index: number) =>
  values.map((value, at) => (at === index ? moved(value) : value))

/** Half the summed change of the causes' probabilities. */
const distance = (a: readonly number[], b: readonly number[]) =>
  a.reduce((sum, value, at) => sum + Math.abs(value - b[at]!), 0) / 2

/** Numbers by how much answers move with them when one condition alone stands, the strongest first. */
export function sensitivities(ontology: Ontology): Sensitivity[] {
  const found = new Map<string, { weight: number; most: number; mostly: string }>()
  const note = (number: string, condition: string, weight: number) => {
    const known = found.get(number) ?? { weight: 0, most: 0, mostly: condition }
    known.weight += weight
    if (weight > known.most) Object.assign(known, { most: weight, mostly: condition })
    found.set(number, known)
  }
  for (const condition of ontology.condition) {
    const slice = sliceOf(ontology, condition)
    if (slice.causes.length === 0) continue
    const { posterior, logEvidence } = posteriorOf(slice)
    const frequency = Math.exp(logEvidence)
    slice.causes.forEach((cause, index) => {
      const rate = posteriorOf({ ...slice, prior: replaced(slice.prior, index) }).posterior
      const link = posteriorOf({ ...slice, q: replaced(slice.q, index) }).posterior
      note(`${cause} baseRate`, condition.id, frequency * distance(posterior, rate))
      note(`${cause} shows ${condition.id}`, condition.id, frequency * distance(posterior, link))
    })
  }
  return [...found]
    .map(([number, { weight, mostly }]) => ({ number, weight, mostly }))
    .sort((a, b) => b.weight - a.weight || (a.number < b.number ? -1 : 1))
}
