import type { CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'
import type { Dimension, Moved, Shift } from './shifts.ts'

/** How surely each context that was spoken of holds: from 1, it does, to -1, it does not. */
export type Circumstances = ReadonlyMap<number, number>

/** Factor on the odds of a cause when some of the contexts of a dimension are ruled out: what is left, averaged by its share. */
function factorWithout(
  { contexts }: CompiledRelease,
  { members, rest }: Dimension,
  { factors, without }: Moved,
  out: readonly number[],
): number {
  let weight = rest
  let sum = rest * without
  members.forEach((member, at) => {
    if (out.includes(member)) return
    weight += contexts[member]!.share
    sum += contexts[member]!.share * factors[at]!
  })
  return weight > 0 ? sum / weight : 1
}

/** Contexts that are ruled out, by dimension; none of a dimension of which one holds. */
function ruledOut(release: CompiledRelease, circumstances: Circumstances): Map<Dimension, number[]> {
  const { dimensionOf } = indexRelease(release)
  const groups = new Map<Dimension, number[]>()
  for (const [context, degree] of circumstances) {
    if (degree >= 0) continue
    const dimension = dimensionOf[context]!
    if (dimension.members.some((member) => (circumstances.get(member) ?? 0) > 0)) continue
    const out = groups.get(dimension)
    if (out === undefined) groups.set(dimension, [context])
    else out.push(context)
  }
  return groups
}

/** Multiplies in what the contexts that are ruled out leave of the odds of each cause. */
function applyRuledOut(release: CompiledRelease, circumstances: Circumstances, factors: Float64Array): void {
  for (const [dimension, out] of ruledOut(release, circumstances)) {
    const surely = Math.max(...out.map((context) => -circumstances.get(context)!))
    for (const moved of dimension.moved)
      factors[moved.cause]! *= 1 + surely * (factorWithout(release, dimension, moved, out) - 1)
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

/** Circumstances as they stand for a device: those of the whole system with its own. */
export interface Held {
  /** Whether nothing is known of any. */
  isEmpty: boolean
  /** Whether they are the same for every device. */
  isShared: boolean
  /** For a named device, or for one that was not named. */
  of: (device: string | undefined) => Circumstances
}

/** No device has this name: for it the circumstances of the system hold, and no others. */
export const NO_DEVICE = ''

/** Factors on prior odds for each device, worked out once for what is the same. */
export class HeldOdds {
  readonly held: Held
  private readonly release: CompiledRelease
  private readonly ofSystem: Circumstances
  private readonly shared: Float64Array
  private readonly own = new Map<Circumstances, Float64Array>()

  constructor(release: CompiledRelease, held: Held) {
    this.release = release
    this.held = held
    this.ofSystem = held.of(NO_DEVICE)
    this.shared = oddsFactors(release, this.ofSystem)
  }

  of(device: string | undefined): Float64Array {
    const circumstances = this.held.of(device)
    if (circumstances === this.ofSystem) return this.shared
    const found = this.own.get(circumstances) ?? oddsFactors(this.release, circumstances)
    this.own.set(circumstances, found)
    return found
  }
}

const factorsAlone = new WeakMap<Circumstances, Shift[]>()

/** What circumstances make of odds where nothing else is known; kept with them. */
function alone(release: CompiledRelease, circumstances: Circumstances): Shift[] {
  const known = factorsAlone.get(circumstances)
  if (known !== undefined) return known
  const moved: Shift[] = []
  oddsFactors(release, circumstances).forEach((factor, cause) => {
    if (factor !== 1) moved.push({ cause, factor })
  })
  factorsAlone.set(circumstances, moved)
  return moved
}

/** Whether nothing is known of the contexts that any of these excludes or is excluded by. */
function isApart(release: CompiledRelease, known: Circumstances, further: Circumstances): boolean {
  if (known.size === 0) return true
  const { dimensionOf } = indexRelease(release)
  for (const context of further.keys())
    if (dimensionOf[context]!.members.some((member) => known.has(member))) return false
  return true
}

/** Factors on the odds under `known`, which come to `before`, that further circumstances would bring. */
export function furtherFactors(
  release: CompiledRelease,
  { known, before }: { known: Circumstances; before: Float64Array },
  further: Circumstances,
): Shift[] {
  if (isApart(release, known, further)) return alone(release, further)
  const after = oddsFactors(release, new Map([...known, ...further]))
  const { movedWith } = indexRelease(release)
  const causes = new Set([...further.keys()].flatMap((context) => movedWith[context]!))
  return [...causes].flatMap((cause) =>
    before[cause] === 0 || after[cause] === before[cause] ? [] : [{ cause, factor: after[cause]! / before[cause]! }],
  )
}
