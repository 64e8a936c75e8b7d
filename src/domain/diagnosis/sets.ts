import { Best } from './best.ts'
import { LogProduct } from './log-product.ts'
import type { Model } from './model.ts'
import type { Prepared } from './prepare.ts'
import { raise } from './spread.ts'
import { quantised } from './ties.ts'

/** A joint explanation: these causes are present and no other. */
export interface CauseSet {
  causes: number[]
  /** Probability given the evidence. */
  probability: number
}

/** ln of the weight of "no cause at all" before what was seen. */
function logOfNone({ variables, weights, logConstant }: Model): number {
  const product = new LogProduct()
  for (const { first } of variables) product.multiply(weights[first]!)
  return logConstant + product.log
}

/** A cause of the pool: what its presence changes in the weight of its variable, and what it brings about at each item. */
interface Member {
  cause: number
  variable: number
  ratio: number
  raises: { start: number; levels: readonly number[] }[]
}

/** Where the levels of each item begin in a row of all of them; the last number is the length of the row. */
function startsOf({ items }: Model): number[] {
  const starts = [0]
  for (const { leak } of items) starts.push(starts.at(-1)! + leak.length)
  return starts
}

function membersOf({ variables, weights, variableOf, optionOf }: Model, starts: readonly number[], pool: number[]) {
  return pool.map((cause): Member => {
    const variable = variableOf[cause]!
    const { options, first } = variables[variable]!
    return {
      cause,
      variable,
      ratio: weights[first + optionOf[cause]!]! / weights[first]!,
      raises: options[optionOf[cause]!]!.links.map(({ item, levels }) => ({ start: starts[item]!, levels })),
    }
  })
}

/** Goes through sets of at most `maxSize` members, each from the one it extends; members of one variable exclude each other. */
class Explanations {
  readonly #model: Model
  readonly #members: readonly Member[]
  readonly #starts: readonly number[]
  /** Length of a row. */
  readonly #total: number
  readonly #maxSize: number
  /** Levels that are reached by the members chosen so far: one row for each number of them. */
  readonly #rows: Float64Array
  readonly #chosen: Member[] = []

  constructor(model: Model, pool: number[], maxSize: number) {
    this.#model = model
    this.#starts = startsOf(model)
    this.#total = this.#starts.at(-1)!
    this.#members = membersOf(model, this.#starts, pool)
    this.#maxSize = maxSize
    this.#rows = new Float64Array((maxSize + 1) * this.#total)
    model.items.forEach(({ leak }, item) => {
      this.#rows.set(leak, this.#starts[item]!)
    })
  }

  /** @param share - weight of "no cause at all" as a share of that of the evidence, before what was seen */
  run(share: number, visit: (chosen: readonly Member[], probability: number) => void): void {
    this.#descend(0, share, visit)
  }

  #descend(from: number, share: number, visit: (chosen: readonly Member[], probability: number) => void): void {
    const chosen = this.#chosen
    visit(chosen, share * this.#seen(chosen.length))
    if (chosen.length === this.#maxSize) return
    for (let next = from; next < this.#members.length; next++) {
      const member = this.#members[next]!
      if (chosen.some(({ variable }) => variable === member.variable)) continue
      this.#reach(member, chosen.length)
      chosen.push(member)
      this.#descend(next + 1, share * member.ratio, visit)
      chosen.pop()
    }
  }

  /** Writes the row of one member more. */
  #reach({ raises }: Member, depth: number): void {
    const rows = this.#rows
    const total = this.#total
    const to = (depth + 1) * total
    for (let at = depth * total; at < to; at++) rows[at + total] = rows[at]!
    for (const { start, levels } of raises) raise(rows, to + start, levels)
  }

  /** Weight of what the items were seen as, when they reach the levels of a row. */
  #seen(depth: number): number {
    const { items } = this.#model
    const row = depth * this.#total
    let product = 1
    for (let item = 0; item < items.length; item++) {
      const { weights } = items[item]!
      const at = row + this.#starts[item]!
      let seen = 0
      for (let level = 0; level < weights.length; level++) seen += this.#rows[at + level]! * weights[level]!
      product *= seen
    }
    return product
  }
}

/** The likeliest causes, likeliest first, equals by number. */
function likeliest(posterior: number[], count: number): number[] {
  const best = new Best<number>(count)
  for (let cause = 0; cause < posterior.length; cause++) {
    const worth = quantised(posterior[cause]!)
    if (posterior[cause]! > 0 && best.isAmong(worth)) best.put(worth, cause)
  }
  return best.list.map(({ item }) => item)
}

/**
 * Most probable joint explanations among the likeliest causes, and the share of all explanations that they cover; equals by
 * how likely their causes are.
 * A small share means that the list is no summary: read the single probabilities instead.
 */
export function topSets(
  { model, inference: { posterior, logEvidence } }: Prepared,
  { maxSize, candidates, keep }: { maxSize: number; candidates: number; keep: number },
): { sets: CauseSet[]; covered: number } {
  const best = new Best<CauseSet>(keep)
  let covered = 0
  const explanations = new Explanations(model, likeliest(posterior, candidates), maxSize)
  explanations.run(Math.exp(logOfNone(model) - logEvidence), (chosen, probability) => {
    covered += probability
    const worth = quantised(probability)
    if (best.isAmong(worth)) best.put(worth, { causes: chosen.map(({ cause }) => cause), probability })
  })
  return { sets: best.list.map(({ item }) => item), covered }
}
