import type { CauseCount, Exposure, Tally } from './tally.ts'

/** Months after which an outcome counts half. Judgement, no source: parts, makers and networks of a trade change in years. */
export const HALF_LIFE_MONTHS = 24

/** Counts with the older ones fading. */
export interface WeighedCounts {
  calls: Exposure
  devices: Exposure
  causes: Map<string, Required<CauseCount>>
}

/**
 * Weight of an outcome by its age, in whole calendar months.
 *
 * weight = 2^(-ageMonths / HALF_LIFE_MONTHS)
 *
 * @example ageWeight(24) // 0.5
 */
export const ageWeight = (ageMonths: number): number => 2 ** (-Math.max(0, ageMonths) / HALF_LIFE_MONTHS)

export const noCounts = (): WeighedCounts => ({
  calls: { known: 0, unknown: 0 },
  devices: { known: 0, unknown: 0 },
  causes: new Map(),
})

/** Adds counts to others, each times a factor. */
export function addCounts(
  to: WeighedCounts,
  from: Omit<WeighedCounts, 'causes'> & { causes: Iterable<CauseCount> },
  factor: number,
) {
  for (const kind of ['calls', 'devices'] as const)
    for (const side of ['known', 'unknown'] as const) to[kind][side] += factor * from[kind][side]
  for (const { cause, confirmed, claimed = 0, claimedAmongKnown = 0 } of from.causes) {
    const sum = to.causes.get(cause) ?? { cause, confirmed: 0, claimed: 0, claimedAmongKnown: 0 }
    sum.confirmed += factor * confirmed
    sum.claimed += factor * claimed
    sum.claimedAmongKnown += factor * claimedAmongKnown
    to.causes.set(cause, sum)
  }
}

/** Counts as they weigh in a month. */
export function weighTally({ months }: Tally, month: number): WeighedCounts {
  const sum = noCounts()
  for (const one of months) addCounts(sum, one, ageWeight(month - one.month))
  return sum
}
