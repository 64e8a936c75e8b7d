import { LEAST_STRENGTH, PRIOR_CASES, rateInterval } from '../../domain/learning/estimate.ts'
import type { Learned, LearnedCause } from '../../domain/learning/learn.ts'
import type { Reason } from '../../domain/learning/outcome.ts'
import { LEAST_CALLS_A_SHOP, LEAST_SHOPS, LEAST_SHOPS_A_CAUSE, MOST_SHARE_A_SHOP } from '../../domain/learning/pool.ts'
import type { Tally } from '../../domain/learning/tally.ts'
import { HALF_LIFE_MONTHS, noCounts, type WeighedCounts, weighTally } from '../../domain/learning/weigh.ts'
import type { StoredSettings } from '../../store/learning-settings.ts'
import { basisOf } from '../basis.ts'
import type { Wording } from '../texts.ts'
import type { CalibrationOf } from './calibration-of-shop.ts'
import { type KeptSet, learnedFrom, saysNothing } from './rate-set.ts'

const INTERVAL_LEVEL = 0.9

const WHY: Record<Reason, string> = {
  'gone-by-itself': 'The trouble went before its cause was found, so the cause is unknown.',
  'not-confirmed': 'The call was closed without a confirmed cause.',
  'nothing-named': 'The call was closed as confirmed, but no cause was named.',
  said: 'The cause was only said by somebody; nobody looked.',
  'repair-without-clearing':
    'The cause was concluded from a repair, but no remedy that removes it is recorded as having cleared the trouble. To count it would let a suggestion confirm itself.',
  'excluding-each-other': 'Causes were confirmed together that cannot both be so.',
}

/** Counts as they were made, without weights. */
function plainCounts({ months }: Tally): Map<string, { confirmed: number; claimed: number }> {
  const sums = new Map<string, { confirmed: number; claimed: number }>()
  for (const { causes } of months)
    for (const { cause, confirmed, claimed = 0 } of causes) {
      const sum = sums.get(cause) ?? { confirmed: 0, claimed: 0 }
      sums.set(cause, { confirmed: sum.confirmed + confirmed, claimed: sum.claimed + claimed })
    }
  return sums
}

function totalsOf(tally: Tally, { calls }: WeighedCounts) {
  const sum = (side: 'known' | 'unknown') => tally.months.reduce((total, month) => total + month.calls[side], 0)
  return {
    known: sum('known'),
    unknown: sum('unknown'),
    weighedKnown: calls.known,
    weighedUnknown: calls.unknown,
  }
}

const hasEvidence = ({ evidence, pooled }: LearnedCause) =>
  evidence.confirmed > 0 || evidence.claimed > 0 || pooled !== undefined

function wordCause({ cause, published, pooled, evidence, estimate }: LearnedCause, wording: Wording) {
  const { low, high } = rateInterval(estimate, INTERVAL_LEVEL)
  return {
    cause,
    label: wording.label(cause),
    published,
    ...(pooled === undefined ? {} : { pooled }),
    learned: estimate.mean,
    low: Math.min(low, estimate.mean),
    high: Math.max(high, estimate.mean),
    factor: estimate.mean / published,
    confirmed: evidence.confirmed,
    claimed: evidence.claimed,
    known: evidence.known,
    unknown: evidence.unknown,
    priorWorth: evidence.strength,
  }
}

export const wordSettings = ({ learning, pooling, countsFrom }: StoredSettings) => ({
  learning,
  pooling,
  countsFrom: countsFrom === null ? null : new Date(countsFrom).toISOString(),
})

/** How the rates are made, in figures. */
export const RULES = {
  basis: 'judgement' as const,
  halfLife: { value: HALF_LIFE_MONTHS, unit: 'mo' },
  priorCases: PRIOR_CASES,
  leastStrength: LEAST_STRENGTH,
  intervalLevel: INTERVAL_LEVEL,
  pool: {
    leastShops: LEAST_SHOPS,
    leastCallsOfShop: LEAST_CALLS_A_SHOP,
    mostShareOfShop: MOST_SHARE_A_SHOP,
    leastOtherShopsOfCause: LEAST_SHOPS_A_CAUSE,
  },
}

/** Everything that a shop's outcomes taught, and what they did not. */
export function wordRates(
  wording: Wording,
  {
    kept,
    settings,
    calibration,
    isAll,
  }: { kept: KeptSet | undefined; settings: StoredSettings; calibration: CalibrationOf[]; isAll: boolean },
) {
  const tally: Tally = kept?.set.tally ?? { months: [], notCounted: [] }
  const weighed = kept ? weighTally(tally, kept.set.month) : noCounts()
  const learned: Learned = kept ? learnedFrom(kept, wording.release) : { causes: [], frozen: [] }
  const isPublished = kept === undefined || saysNothing(kept.set)
  const plain = plainCounts(tally)
  const shown = learned.causes.filter((cause) => isAll || hasEvidence(cause))
  return {
    basis: basisOf(wording.release, isPublished ? undefined : { id: kept.id, sha256: kept.sha256, asOf: kept.asOf }),
    ...wording.stated(),
    settings: wordSettings(settings),
    rules: RULES,
    calls: totalsOf(tally, weighed),
    causes: shown.map((cause) => wordCause(cause, wording)),
    confirmations: [...plain]
      .sort(([a], [b]) => Number(a > b) - Number(a < b))
      .map(([cause, counts]) => ({ cause, ...counts })),
    notCounted: tally.notCounted.map(({ reason, count }) => ({ reason, count, why: WHY[reason] })),
    frozen: learned.frozen.map(({ cause, confirmed, into }) => ({ cause, confirmed, into: [...into] })),
    pool: { isUsed: (kept?.set.pooled.length ?? 0) > 0, causes: kept?.set.pooled.length ?? 0 },
    calibration,
  }
}
export type RatesAnswer = ReturnType<typeof wordRates>

/** A kept set as it was, and the rates that follow from it today. */
export function wordKept(kept: KeptSet, wording: Wording) {
  const { id, sha256, asOf, set } = kept
  return {
    basis: basisOf(wording.release, { id, sha256, asOf }),
    ...wording.stated(),
    set,
    rates: learnedFrom(kept, wording.release).causes.map(({ cause, estimate }) => ({ cause, rate: estimate.mean })),
  }
}
