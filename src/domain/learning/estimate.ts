import { refuseTogether, within } from '../quantities/within.ts'
import { betaQuantile } from './beta.ts'

/** What is known of one cause. Weighted counts; `known` and `unknown` are calls, or copies of a device in calls. */
export interface RateEvidence {
  /** The rate held before any outcome: published, or of the pool. */
  prior: number
  /** How many calls the prior is worth. */
  strength: number
  confirmed: number
  known: number
  unknown: number
  /** Of the unknown, those in which the cause was named without enough to count it. */
  claimed: number
}
export interface RateEstimate {
  mean: number
  /** Beta distribution with the mean and the variance of what is held of the rate. */
  a: number
  b: number
}

/** Confirmed cases that a prior rate is worth, and the fewest calls. Judgement, no source. */
export const PRIOR_CASES = 2
export const LEAST_STRENGTH = 20

/**
 * How many calls a prior rate is worth: two confirmed cases of the cause, and never less than twenty calls.
 *
 * strength = max(LEAST_STRENGTH, PRIOR_CASES / rate)
 *
 * @param rate - prior of the cause, above 0 and below 1
 * @validity with it the first confirmed case multiplies a rate by at most 1.5, however rare the cause. Judgement.
 * @example strengthOf(0.01) // 200
 */
export const strengthOf = (rate: number): number => Math.max(LEAST_STRENGTH, PRIOR_CASES / rate)

/** Room for the last digit of weighted counts. */
const ROUNDING = 1 + 1e-9
const MOST_CALLS = 1e9

function check({ prior, strength, confirmed, known, unknown, claimed }: RateEvidence): void {
  refuseTogether([
    () => within(prior, '/prior', 1e-12, 1 - 1e-12, '1'),
    () => within(strength, '/strength', 1e-6, 1e15, '1'),
    () => within(known, '/known', 0, MOST_CALLS, '1'),
    () => within(unknown, '/unknown', 0, MOST_CALLS, '1'),
    () => within(confirmed, '/confirmed', 0, known * ROUNDING, '1'),
    () => within(claimed, '/claimed', 0, unknown * ROUNDING, '1'),
  ])
}

const ofBeta = (mean: number, variance: number): RateEstimate => {
  const size = (mean * (1 - mean)) / variance - 1
  return { mean, a: mean * size, b: (1 - mean) * size }
}

/** The rate in calls whose causes are not known: the prior, raised by claims as far as they hold the whole at the prior. */
function rateAmongUnknown(
  { prior, unknown, claimed }: RateEvidence,
  rateAmongKnown: number,
  knownShare: number,
): number {
  if (rateAmongKnown >= prior) return prior
  const claimedShare = Math.min(1, claimed / unknown)
  const most = (1 - claimedShare) * prior + claimedShare
  return Math.min(most, (prior - knownShare * rateAmongKnown) / (1 - knownShare))
}

/**
 * Rate of a cause in a shop's calls: probability that the cause is there in a call, before anything of it is known.
 *
 * rate = c A + (1 - c) U, c = known / (known + unknown)
 * A ~ Beta(s m + confirmed, s (1 - m) + known - confirmed): the rate in calls whose causes are known
 * U: the rate in the others. They teach nothing, so it keeps the prior: mean m, variance m (1 - m) / (s + 1)
 * variance = c^2 var A + (1 - c)^2 var U + 2 c (1 - c) var A + (A - U)^2 c (1 - c) / (known + unknown + 1)
 *
 * The third term is what U = A adds: the interval is as wide as it must be when the unknown calls are like the known ones,
 * and wider than it must when they are not.
 *
 * To leave the others out would let the causes that are easy to confirm grow (their share among the confirmed is larger
 * than among all calls); to count them as calls without the cause would let every rate sink. This keeps the rate between
 * the prior and what the known calls say. A claim that does not count can keep a rate from falling below the prior, for
 * the missing call may have been a case; it never lifts one above.
 *
 * @validity counts finite and >= 0, confirmed <= known, claimed <= unknown; a cause that was there unseen counts as absent
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @source conjugate beta-binomial: Gelman et al., Bayesian Data Analysis, ch. 2 (from memory); the mixture is derived here
 * @example estimateRate({ prior: 0.05, strength: 20, confirmed: 2, known: 20, unknown: 0, claimed: 0 }).mean // 0.075
 */
export function estimateRate(evidence: RateEvidence): RateEstimate {
  check(evidence)
  const { prior, strength, confirmed, known, unknown } = evidence
  const a = strength * prior + confirmed
  const b = strength * (1 - prior) + known - confirmed
  const calls = known + unknown
  if (known === 0) return { mean: prior, a: strength * prior, b: strength * (1 - prior) }
  if (unknown === 0) return { mean: a / (a + b), a, b }
  const share = known / calls
  const among = a / (a + b)
  const others = rateAmongUnknown(evidence, among, share)
  const ofKnown = (among * (1 - among)) / (a + b + 1)
  const ofUnknown = (prior * (1 - prior)) / (strength + 1)
  const variance =
    share ** 2 * ofKnown +
    (1 - share) ** 2 * ofUnknown +
    2 * share * (1 - share) * Math.min(ofKnown, Math.sqrt(ofKnown * ofUnknown)) +
    ((among - others) ** 2 * share * (1 - share)) / (calls + 1)
  return ofBeta(share * among + (1 - share) * others, variance)
}

/**
 * Central interval that holds the rate with the given probability.
 *
 * low, high: I_x(a, b) = (1 - level) / 2 and (1 + level) / 2
 *
 * @param level - above 0 and below 1, such as 0.9
 * @example rateInterval({ mean: 0.5, a: 1, b: 1 }, 0.9).low // 0.05
 */
export function rateInterval({ a, b }: RateEstimate, level: number): { low: number; high: number } {
  return { low: betaQuantile((1 - level) / 2, a, b), high: betaQuantile((1 + level) / 2, a, b) }
}
