import { type CarriedCounts, carryOver, type Replacements } from './carry-over.ts'
import { estimateRate, type RateEstimate, type RateEvidence, strengthOf } from './estimate.ts'
import type { WeighedCounts } from './weigh.ts'

/** A cause of a release with its published rate. */
export interface PublishedCause {
  id: string
  prior: number
  isPerDevice: boolean
  group?: string
}
export interface LearnedCause {
  cause: string
  published: number
  /** Rate of the pool, where it has one of this cause. */
  pooled?: number
  evidence: RateEvidence
  estimate: RateEstimate
}
export interface Learned {
  causes: LearnedCause[]
  frozen: CarriedCounts['frozen']
}

const within = (count: number, most: number) => Math.min(Math.max(count, 0), most)

/** What the counts tell of one cause. */
export function evidenceOf(
  { id, isPerDevice, prior }: PublishedCause,
  counts: WeighedCounts,
): Omit<RateEvidence, 'strength'> {
  const { confirmed = 0, claimed = 0, claimedAmongKnown = 0 } = counts.causes.get(id) ?? {}
  const exposure = isPerDevice ? counts.devices : counts.calls
  const open = Math.min(claimedAmongKnown, exposure.known)
  const known = Math.max(0, exposure.known - open)
  const unknown = Math.max(0, exposure.unknown + open)
  return { prior, confirmed: within(confirmed, known), known, unknown, claimed: within(claimed, unknown) }
}

/** Causes that exclude each other never sum to more than this. */
const MOST_OF_GROUP = 0.98

function keepGroupsPossible(causes: readonly LearnedCause[], published: readonly PublishedCause[]): void {
  const groupOf = new Map(published.map(({ id, group }) => [id, group]))
  const sums = new Map<string, number>()
  for (const { cause, estimate } of causes) {
    const group = groupOf.get(cause)
    if (group !== undefined) sums.set(group, (sums.get(group) ?? 0) + estimate.mean)
  }
  for (const { cause, estimate } of causes) {
    const sum = sums.get(groupOf.get(cause) ?? '') ?? 0
    if (sum > MOST_OF_GROUP) estimate.mean *= MOST_OF_GROUP / sum
  }
}

/**
 * Rates of all causes from a shop's own counts: published, then the pool's where there is one, then the shop's.
 *
 * A cause that was withdrawn keeps its published rate; its counts are its successor's.
 *
 * @param pooled - rates of the pool by cause id
 */
export function learnRates(
  counts: WeighedCounts,
  published: readonly PublishedCause[],
  replacements: Replacements,
  pooled: ReadonlyMap<string, number> = new Map(),
): Learned {
  const carried = carryOver(counts, replacements)
  const causes = published.flatMap((cause): LearnedCause[] => {
    if (replacements.has(cause.id)) return []
    const fromPool = pooled.get(cause.id)
    const prior = fromPool ?? cause.prior
    const evidence = { ...evidenceOf({ ...cause, prior }, carried), strength: strengthOf(prior) }
    return [
      {
        cause: cause.id,
        published: cause.prior,
        ...(fromPool === undefined ? {} : { pooled: fromPool }),
        evidence,
        estimate: estimateRate(evidence),
      },
    ]
  })
  keepGroupsPossible(causes, published)
  return { causes, frozen: carried.frozen }
}

/** Whether counts and pool say anything at all; where they do not, the published rates stand as they are. */
export const teachesNothing = (counts: WeighedCounts, pooled: ReadonlyMap<string, number>): boolean =>
  counts.calls.known === 0 && pooled.size === 0

/** Learned rates as the engine takes them. */
export const ratesOf = ({ causes }: Learned): Map<string, number> =>
  new Map(causes.map(({ cause, estimate }) => [cause, estimate.mean]))
