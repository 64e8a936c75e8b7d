import type { Model } from './model.ts'
import type { Prepared } from './prepare.ts'
import { higherOf } from './spread.ts'

/** A joint explanation: these causes are present and no other. */
export interface CauseSet {
  causes: number[]
  /** Probability given the evidence. */
  probability: number
}

/** Weight of "no cause at all" in each variable's factor and of what the leaks bring about: the base of every set. */
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
  levelsAt: (readonly number[] | undefined)[]
}

function membersOf({ variables, weights, items, variableOf, optionOf }: Model, pool: readonly number[]): Member[] {
  return pool.map((cause) => {
    const variable = variableOf[cause]!
    const { options, first } = variables[variable]!
    const { links } = options[optionOf[cause]!]!
    const levelsAt = items.map((_, item) => links.find((link) => link.item === item)?.levels)
    return {
      cause,
      variable,
      logRatio: Math.log(weights[first + optionOf[cause]!]!) - Math.log(weights[first]!),
      levelsAt,
    }
  })
}

/** ln of the weight of what the items were seen as, when they reach these levels. */
function logSeen({ items }: Model, reached: readonly (readonly number[])[]): number {
  let log = 0
  for (let item = 0; item < items.length; item++) {
    const { weights } = items[item]!
    let seen = 0
    for (let level = 0; level < weights.length; level++) seen += reached[item]![level]! * weights[level]!
    log += Math.log(seen)
  }
  return log
}

/** Every set of at most `maxSize` members, each from the one it extends; members of one variable exclude each other. */
function explanations(model: Model, members: readonly Member[], maxSize: number, logEvidence: number): CauseSet[] {
  const found: CauseSet[] = []
  const extend = (chosen: readonly Member[], from: number, log: number, reached: readonly (readonly number[])[]) => {
    const probability = Math.exp(log + logSeen(model, reached) - logEvidence)
    found.push({ causes: chosen.map(({ cause }) => cause), probability })
    if (chosen.length === maxSize) return
    for (let next = from; next < members.length; next++) {
      const member = members[next]!
      if (chosen.some(({ variable }) => variable === member.variable)) continue
      const after = reached.map((levels, item) => {
        const own = member.levelsAt[item]
        return own ? higherOf(levels, own) : levels
      })
      extend([...chosen, member], next + 1, log + member.logRatio, after)
    }
  }
  extend(
    [],
    0,
    baseOf(model),
    model.items.map(({ leak }) => leak),
  )
  return found
}

/** The likeliest causes, likeliest first, equals by number. */
function likeliest(posterior: Float64Array, count: number): number[] {
  const list: number[] = []
  for (let cause = 0; cause < posterior.length; cause++) {
    const probability = posterior[cause]!
    if (!(probability > 0) || (list.length === count && probability <= posterior[list[count - 1]!]!)) continue
    let place = list.length
    while (place > 0 && posterior[list[place - 1]!]! < probability) place--
    list.splice(place, 0, cause)
    if (list.length > count) list.pop()
  }
  return list
}

/**
 * Most probable joint explanations among the likeliest causes, and the share of all explanations that they cover.
 * A small share means that the list is no summary: read the single probabilities instead.
 */
export function topSets(
  { model, inference: { posterior, logEvidence } }: Prepared,
  { maxSize, candidates, keep }: { maxSize: number; candidates: number; keep: number },
): { sets: CauseSet[]; covered: number } {
  const sets = explanations(model, membersOf(model, likeliest(posterior, candidates)), maxSize, logEvidence).sort(
    (a, b) => b.probability - a.probability || a.causes.length - b.causes.length,
  )
  return { sets: sets.slice(0, keep), covered: sets.reduce((sum, { probability }) => sum + probability, 0) }
}
