import { estimateRate, strengthOf } from './estimate.ts'
import { evidenceOf, type PublishedCause } from './learn.ts'
import type { Exposure } from './tally.ts'
import { addCounts, noCounts, type WeighedCounts } from './weigh.ts'

/** Fewest shops whose outcomes are put together. */
export const LEAST_SHOPS = 5
/** Known calls, weighted by age, that a shop must have to be counted in. Judgement: fewer are nearly single calls. */
export const LEAST_CALLS_A_SHOP = 20
/** Most of the pool that one shop makes up. Judgement. */
export const MOST_SHARE_A_SHOP = 0.25
/** Shops beside the one that asks that must have confirmed a cause before the pool speaks of it. Judgement. */
export const LEAST_SHOPS_A_CAUSE = 3

export interface Pool {
  shops: number
  counts: WeighedCounts
  /** Shops that confirmed a cause at all. */
  shopsOf: Map<string, number>
}

/**
 * Most calls a shop counts with, so that none makes up more than MOST_SHARE_A_SHOP of what is counted.
 *
 * cap = share (sum of the calls of the others + t cap), t the shops that are cut to it
 *
 * @param calls - calls of each shop, at least LEAST_SHOPS of them, each above 0
 * @example capOfShare([10, 10, 10, 10, 1000]) // 13.333333333333334
 */
export function capOfShare(calls: readonly number[]): number {
  const falling = [...calls].sort((a, b) => b - a)
  let rest = falling.reduce((sum, value) => sum + value, 0)
  for (let cut = 0; cut * MOST_SHARE_A_SHOP < 1; cut++) {
    const cap = (MOST_SHARE_A_SHOP * rest) / (1 - MOST_SHARE_A_SHOP * cut)
    if (falling[cut]! <= cap) return cap
    rest -= falling[cut]!
  }
  throw new RangeError('too few shops for the share of one')
}

const total = ({ known, unknown }: Exposure) => known + unknown

/** What each shop's calls, or its devices, are scaled by; nothing counts where too few shops have any. */
function factorsOf(exposures: readonly number[]): number[] {
  const present = exposures.filter((value) => value > 0)
  if (present.length < LEAST_SHOPS) return exposures.map(() => 0)
  const cap = capOfShare(present)
  return exposures.map((value) => (value > 0 ? Math.min(1, cap / value) : 0))
}

const scaledExposure = ({ known, unknown }: Exposure, factor: number): Exposure => ({
  known: factor * known,
  unknown: factor * unknown,
})

/** Counts of a shop as they go into a pool: causes of devices by the factor of the devices, all others by that of the calls. */
function scaled(
  { calls, devices, causes }: WeighedCounts,
  factors: { calls: number; devices: number },
  isPerDevice: (cause: string) => boolean,
): WeighedCounts {
  const share: WeighedCounts = {
    calls: scaledExposure(calls, factors.calls),
    devices: scaledExposure(devices, factors.devices),
    causes: new Map(),
  }
  for (const { cause, confirmed, claimed, claimedAmongKnown } of causes.values()) {
    const factor = isPerDevice(cause) ? factors.devices : factors.calls
    if (factor === 0) continue
    const counts = { confirmed: factor * confirmed, claimed: factor * claimed }
    share.causes.set(cause, { cause, ...counts, claimedAmongKnown: factor * claimedAmongKnown })
  }
  return share
}

/** The pool and, in the order of the shops, what each gave to it. */
export interface PoolWithShares {
  pool: Pool
  shares: WeighedCounts[]
}

/**
 * The counts of consenting shops put together: undefined with fewer than LEAST_SHOPS that have enough known calls.
 * Shops with many calls are scaled down to the cap, with everything that they give: known or unknown, so that nobody can
 * drown the others in calls without a cause either. Devices have a cap of their own.
 *
 * @param shops - counts of each shop; one that has too few calls gives nothing
 */
export function poolCounts(
  shops: readonly WeighedCounts[],
  isPerDevice: (cause: string) => boolean,
): PoolWithShares | undefined {
  const isGiving = shops.map(({ calls }) => calls.known >= LEAST_CALLS_A_SHOP)
  const giving = isGiving.filter((one) => one).length
  if (giving < LEAST_SHOPS) return undefined
  const byCalls = factorsOf(shops.map(({ calls }, at) => (isGiving[at] ? total(calls) : 0)))
  const byDevices = factorsOf(shops.map(({ devices }, at) => (isGiving[at] ? total(devices) : 0)))
  const pool: Pool = { shops: giving, counts: noCounts(), shopsOf: new Map() }
  const shares = shops.map((counts, at) =>
    scaled(counts, { calls: byCalls[at]!, devices: byDevices[at]! }, isPerDevice),
  )
  for (const share of shares) {
    addCounts(pool.counts, { ...share, causes: share.causes.values() }, 1)
    for (const { cause, confirmed } of share.causes.values())
      if (confirmed > 0) pool.shopsOf.set(cause, (pool.shopsOf.get(cause) ?? 0) + 1)
  }
  return { pool, shares }
}

/** Two digits: enough for a base rate, too few to read one call of one shop out of many. */
const coarse = (rate: number) => Number(rate.toPrecision(2))

/**
 * What the other shops' calls say of the rates, for one shop of the pool: its own share is taken out.
 *
 * A cause that fewer than three of the others confirmed keeps its published rate, so that one case, two cases and no
 * case look alike. Rates are rounded to two digits and no count leaves.
 *
 * Can be inferred: rates of all others together, to two digits; that at least three of them have confirmed a cause.
 * Cannot be inferred from one answer: how many calls or which causes any shop has. What remains: who sees the pool before
 * and after a shop joined or left, and knows which, sees in what direction the rates moved, to those two digits.
 *
 * @returns rates by cause id, only of causes that the pool speaks of
 */
export function pooledRates(
  { counts, shopsOf }: Pool,
  own: WeighedCounts | undefined,
  published: readonly PublishedCause[],
): Map<string, number> {
  const others = noCounts()
  addCounts(others, { ...counts, causes: counts.causes.values() }, 1)
  if (own) addCounts(others, { ...own, causes: own.causes.values() }, -1)
  const rates = published.flatMap((cause): [string, number][] => {
    const mine = (own?.causes.get(cause.id)?.confirmed ?? 0) > 0 ? 1 : 0
    if ((shopsOf.get(cause.id) ?? 0) - mine < LEAST_SHOPS_A_CAUSE) return []
    const { mean } = estimateRate({ ...evidenceOf(cause, others), strength: strengthOf(cause.prior) })
    return [[cause.id, coarse(mean)]]
  })
  return new Map(rates)
}
