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

/** ln of the weight of "no cause at all" in each variable's factor. */
function baseOf({ variables, weights, logConstant }: Model): number {
  let log = logConstant
  for (const { first } of variables) log += Math.log(weights[first]!)
  return log
}

/** A cause of the pool: what its presence changes in the weight of its variable, and what it brings about at each item. */
interface Member {
  cause: number
  variable: number
  logRatio: number
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
      logRatio: Math.log(weights[first + optionOf[cause]!]!) - Math.log(weights[first]!),
      raises: options[optionOf[cause]!]!.links.map(({ item, levels }) => ({ start: starts[item]!, levels })),
    }
  })
}

/** Below this a running product is turned into its logarithm. */
const LOG_BELOW = 1e-100

/** Goes through sets of at most `maxSize` members, each from the one it extends; members of one variable exclude each other. */
class Explanations {
  readonly #model: Model
  readonly #members: readonly Member[]
  readonly #starts: readonly number[]
  readonly #maxSize: number
  /** Levels that are reached by the members chosen so far: one row for each number of them. */
  readonly #rows: Float64Array
  readonly #chosen: Member[] = []

  constructor(model: Model, pool: number[], maxSize: number) {
    this.#model = model
    this.#starts = startsOf(model)
    this.#members = membersOf(model, this.#starts, pool)
    this.#maxSize = maxSize
    this.#rows = new Float64Array((maxSize + 1) * this.#starts.at(-1)!)
    model.items.forEach(({ leak }, item) => {
      this.#rows.set(leak, this.#starts[item]!)
    })
  }

  /** @param log - ln of the weight of "no cause at all" as a share of that of the evidence */
  run(log: number, visit: (chosen: readonly Member[], probability: number) => void): void {
    this.#descend(0, log, visit)
  }

  #descend(from: number, log: number, visit: (chosen: readonly Member[], probability: number) => void): void {
    const chosen = this.#chosen
    visit(chosen, Math.exp(log + this.#logSeen(chosen.length)))
    if (chosen.length === this.#maxSize) return
    for (let next = from; next < this.#members.length; next++) {
      const member = this.#members[next]!
      if (chosen.some(({ variable }) => variable === member.variable)) continue
      this.#reach(member, chosen.length)
      chosen.push(member)
      this.#descend(next + 1, log + member.logRatio, visit)
      chosen.pop()
    }
  }

  /** Writes the row of one member more. */
  #reach({ raises }: Member, depth: number): void {
    const total = this.#starts.at(-1)!
    const to = (depth + 1) * total
    this.#rows.copyWithin(to, depth * total, to)
    for (const { start, levels } of raises) raise(this.#rows, to + start, levels)
  }

  /** ln of the weight of what the items were seen as, when they reach the levels of a row. */
  #logSeen(depth: number): number {
    const { items } = this.#model
    const row = depth * this.#starts.at(-1)!
    let log = 0
    let product = 1
    for (let item = 0; item < items.length; item++) {
      const { weights } = items[item]!
      const at = row + this.#starts[item]!
      let seen = 0
      for (let level = 0; level < weights.length; level++) seen += this.#rows[at + level]! * weights[level]!
      product *= seen
      if (product > LOG_BELOW) continue
      log += Math.log(product)
      product = 1
    }
    return log + Math.log(product)
  }
}

/** The best of what is put in by a number, best first; of equals the one that came first. */
class Best<Item> {
  readonly list: { item: Item; worth: number }[] = []
  readonly #keep: number

  constructor(keep: number) {
    this.#keep = keep
  }

  isAmong(worth: number): boolean {
    return this.list.length < this.#keep || worth > this.list.at(-1)!.worth
  }

  put(worth: number, item: Item): void {
    const { list } = this
    let place = list.length
    while (place > 0 && list[place - 1]!.worth < worth) place--
    list.splice(place, 0, { item, worth })
    if (list.length > this.#keep) list.pop()
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
  explanations.run(baseOf(model) - logEvidence, (chosen, probability) => {
    covered += probability
    const worth = quantised(probability)
    if (best.isAmong(worth)) best.put(worth, { causes: chosen.map(({ cause }) => cause), probability })
  })
  return { sets: best.list.map(({ item }) => item), covered }
}
