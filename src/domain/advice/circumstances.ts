import type { CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'

/** How surely each context that was spoken of holds: from 1, it does, to -1, it does not. */
export type Circumstances = ReadonlyMap<number, number>

/** That a circumstance is not there moves odds down by no more than this: shares and factors are guesses. Judgement. */
const LEAST_WITHOUT = 0.2

/** Contexts that exclude each other: those of a dimension, or one of its own. */
function membersBeside({ contexts }: CompiledRelease, context: number): number[] {
  const { dimension } = contexts[context]!
  if (dimension === undefined) return [context]
  return contexts.flatMap((one, index) => (one.dimension === dimension ? [index] : []))
}

/**
 * Factor on the odds of a cause when some of the contexts of a dimension are ruled out.
 *
 * by total probability: 1 = sum of share x factor over all contexts and the rest; what is left is averaged
 */
function factorWithout(
  { contexts }: CompiledRelease,
  factorOf: (context: number) => number,
  members: readonly number[],
  isOut: (context: number) => boolean,
): number {
  const sum = (list: readonly number[], of: (context: number) => number) =>
    list.reduce((total, context) => total + contexts[context]!.share * of(context), 0)
  const rest = Math.max(0, 1 - sum(members, () => 1))
  const restFactor = rest > 0 ? Math.max(LEAST_WITHOUT, (1 - sum(members, factorOf)) / rest) : 0
  const left = members.filter((context) => !isOut(context))
  const weight = rest + sum(left, () => 1)
  if (!(weight > 0)) return 1
  return Math.max(LEAST_WITHOUT, (rest * restFactor + sum(left, factorOf)) / weight)
}

/** Contexts that are ruled out, by dimension; none of a dimension of which one holds. */
function ruledOut(release: CompiledRelease, circumstances: Circumstances): { members: number[]; out: number[] }[] {
  const groups = new Map<number, { members: number[]; out: number[] }>()
  for (const [context, degree] of circumstances) {
    if (degree >= 0) continue
    const members = membersBeside(release, context)
    if (members.some((member) => (circumstances.get(member) ?? 0) > 0)) continue
    const group = groups.get(members[0]!) ?? { members, out: [] }
    group.out.push(context)
    groups.set(members[0]!, group)
  }
  return [...groups.values()]
}

/** Multiplies in what the contexts that are ruled out leave of the odds of each cause. */
function applyRuledOut(release: CompiledRelease, circumstances: Circumstances, factors: Float64Array): void {
  const { shiftsOfContext } = indexRelease(release)
  for (const { members, out } of ruledOut(release, circumstances)) {
    const surely = Math.max(...out.map((context) => -circumstances.get(context)!))
    const byCause = new Map<number, Map<number, number>>()
    for (const member of members)
      for (const { cause, factor } of shiftsOfContext[member]!)
        byCause.set(cause, (byCause.get(cause) ?? new Map()).set(member, factor))
    for (const [cause, own] of byCause) {
      const without = factorWithout(
        release,
        (context) => own.get(context) ?? 1,
        members,
        (context) => out.includes(context),
      )
      factors[cause]! *= 1 + surely * (without - 1)
    }
  }
}

/**
 * What the circumstances make of the prior odds of each cause of the release, before the limit.
 *
 * a context that holds with probability r moves the odds by 1 + r (factor - 1); one that does not hold moves them the other
 * way, so that both together give the odds of somebody who was not asked
 */
export function oddsFactors(release: CompiledRelease, circumstances: Circumstances): Float64Array {
  const { shiftsOfContext } = indexRelease(release)
  const factors = new Float64Array(release.causes.length).fill(1)
  for (const [context, degree] of circumstances)
    if (degree > 0)
      for (const { cause, factor } of shiftsOfContext[context]!) factors[cause]! *= 1 + degree * (factor - 1)
  applyRuledOut(release, circumstances, factors)
  return factors
}

/** A factor on the odds of a cause of the release. */
export interface OddsFactor {
  cause: number
  factor: number
}

const factorsAlone = new WeakMap<CompiledRelease, Map<string, OddsFactor[]>>()

/** What circumstances make of odds where nothing else is known; kept for each release. */
function alone(release: CompiledRelease, circumstances: Circumstances): OddsFactor[] {
  const known = factorsAlone.get(release) ?? new Map<string, OddsFactor[]>()
  factorsAlone.set(release, known)
  const key = [...circumstances].join(' ')
  const found = known.get(key)
  if (found !== undefined) return found
  const moved: OddsFactor[] = []
  oddsFactors(release, circumstances).forEach((factor, cause) => {
    if (factor !== 1) moved.push({ cause, factor })
  })
  known.set(key, moved)
  return moved
}

/** Whether nothing is known of the contexts that any of these excludes or is excluded by. */
function isApart(release: CompiledRelease, known: Circumstances, further: Circumstances): boolean {
  if (known.size === 0) return true
  return [...further.keys()].every((context) => membersBeside(release, context).every((member) => !known.has(member)))
}

/** Factors on the odds under `known`, which come to `before`, that further circumstances would bring. */
export function furtherFactors(
  release: CompiledRelease,
  { known, before }: { known: Circumstances; before: Float64Array },
  further: Circumstances,
): OddsFactor[] {
  if (isApart(release, known, further)) return alone(release, further)
  const after = oddsFactors(release, new Map([...known, ...further]))
  const { movedWith } = indexRelease(release)
  const causes = new Set([...further.keys()].flatMap((context) => movedWith[context]!))
  return [...causes].flatMap((cause) =>
    before[cause] === 0 || after[cause] === before[cause] ? [] : [{ cause, factor: after[cause]! / before[cause]! }],
  )
}
