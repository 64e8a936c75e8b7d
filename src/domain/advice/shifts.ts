import type { CompiledRelease } from './compiled.ts'

/** A factor on the prior odds of a cause; 0 rules it out. */
export interface Shift {
  cause: number
  factor: number
}

/** Contexts that exclude each other, or one by itself, with what each makes of the odds of the causes that any of them moves. */
export interface Dimension {
  members: readonly number[]
  /** How often none of them holds. */
  rest: number
  moved: readonly Moved[]
}
export interface Moved {
  cause: number
  /** While a member holds, in their order. */
  factors: readonly number[]
  /** While none of them holds. */
  without: number
}

/** That no circumstance of a dimension is there moves odds down by no more than this: shares and factors are guesses. Judgement. */
const LEAST_WITHOUT = 0.2
/** What sums to as much as this less than one leaves nothing over: the last places of a sum are not a share. */
const NOTHING = 1e-9

/**
 * Factors of a dimension on the odds of one cause so that asking moves nothing by itself: what is expected to come out, over
 * all answers, is what was thought before.
 *
 * sum of share x factor, over the members and none of them, = 1 (total probability)
 *
 * As stated the factors compare with a call of which nothing is known, and what none of them leaves follows. Where they sum
 * to one or more that cannot be, and they are read as against none of them: all are divided by share x factor + rest. What
 * none of them leaves is never under a fifth; the others then make up the balance.
 *
 * @param shares - how often each member holds, at most 1 in all
 * @param stated - factor while each holds, >= 0
 * @returns the factors that count, and the factor while none holds
 * @example balanced([0.4], [3]) // { factors: [3 / 1.8], without: 1 / 1.8 }
 */
export function balanced(
  shares: readonly number[],
  stated: readonly number[],
): { factors: readonly number[]; without: number } {
  const rest = restOf(shares)
  const sum = shares.reduce((total, share, at) => total + share * stated[at]!, 0)
  if (rest > 0 && (1 - sum) / rest >= LEAST_WITHOUT - NOTHING) return { factors: stated, without: (1 - sum) / rest }
  if (!(sum > 0)) return { factors: stated, without: 1 }
  const without = rest === 0 ? 1 : Math.max(LEAST_WITHOUT, sum < 1 ? 0 : 1 / (sum + rest))
  const scale = (1 - rest * without) / sum
  return { factors: stated.map((factor) => factor * scale), without }
}

function restOf(shares: readonly number[]): number {
  const rest = shares.reduce((left, share) => left - share, 1)
  return rest > NOTHING ? rest : 0
}

/** Factors of each context as stated, by cause; 0 for a cause that it excludes. */
function statedFactors({ causes, contexts }: CompiledRelease): Map<number, number>[] {
  const stated = contexts.map(({ shifts }) => {
    const factors = new Map<number, number>()
    for (const { cause, factor } of shifts) factors.set(cause, (factors.get(cause) ?? 1) * factor)
    return factors
  })
  causes.forEach(({ excludedBy }, cause) => {
    for (const context of excludedBy) stated[context]!.set(cause, 0)
  })
  return stated
}

/** Every dimension of a release, a context without one as a dimension of its own. */
export function dimensionsOf(release: CompiledRelease): Dimension[] {
  const { contexts } = release
  const stated = statedFactors(release)
  const groups = new Map<string, number[]>()
  contexts.forEach(({ dimension, id }, context) => {
    const name = dimension ?? id
    groups.set(name, [...(groups.get(name) ?? []), context])
  })
  return [...groups.values()].map((members) => {
    const shares = members.map((member) => contexts[member]!.share)
    const causes = new Set(members.flatMap((member) => [...stated[member]!.keys()]))
    const moved = [...causes].map((cause) => ({
      cause,
      ...balanced(
        shares,
        members.map((member) => stated[member]!.get(cause) ?? 1),
      ),
    }))
    return { members, rest: restOf(shares), moved }
  })
}
