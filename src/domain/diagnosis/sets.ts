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
function baseOf({ variables, logConstant }: Model): number {
  return variables.reduce((log, { options }) => log + Math.log(options[0]!.weight), logConstant)
}

/** ln of the joint weight of "exactly these causes" and the evidence, from the base of no cause at all. */
function logJoint({ variables, items, variableOf, optionOf }: Model, base: number, causes: readonly number[]): number {
  const chosen = new Map(causes.map((cause) => [variableOf[cause]!, optionOf[cause]!]))
  if (chosen.size < causes.length) return Number.NEGATIVE_INFINITY
  let log = base
  for (const [variable, option] of chosen) {
    const { options } = variables[variable]!
    log += Math.log(options[option]!.weight) - Math.log(options[0]!.weight)
  }
  items.forEach(({ leak, weights }, item) => {
    let reached: readonly number[] = leak
    for (const [variable, option] of chosen)
      for (const link of variables[variable]!.options[option]!.links)
        if (link.item === item) reached = higherOf(reached, link.levels)
    log += Math.log(reached.reduce((sum, share, level) => sum + share * weights[level]!, 0))
  })
  return log
}

function subsets(pool: readonly number[], size: number): number[][] {
  if (size === 0) return [[]]
  return pool.flatMap((cause, index) => subsets(pool.slice(index + 1), size - 1).map((rest) => [cause, ...rest]))
}

/**
 * Most probable joint explanations among the likeliest causes, and the share of all explanations that they cover.
 * A small share means that the list is no summary: read the single probabilities instead.
 */
export function topSets(
  { model, inference: { posterior, logEvidence } }: Prepared,
  { maxSize, candidates, keep }: { maxSize: number; candidates: number; keep: number },
): { sets: CauseSet[]; covered: number } {
  const pool = Array.from(posterior, (_, cause) => cause)
    .filter((cause) => posterior[cause]! > 0)
    .sort((a, b) => posterior[b]! - posterior[a]! || a - b)
    .slice(0, candidates)
  const base = baseOf(model)
  const sets = Array.from({ length: maxSize + 1 }, (_, size) => subsets(pool, size))
    .flat()
    .map((causes) => ({ causes, probability: Math.exp(logJoint(model, base, causes) - logEvidence) }))
    .sort((a, b) => b.probability - a.probability || a.causes.length - b.causes.length)
  return { sets: sets.slice(0, keep), covered: sets.reduce((sum, { probability }) => sum + probability, 0) }
}
