import type { Outcome } from '../../domain/learning/outcome.ts'
import { monthOf, type Tally, tallyOutcomes } from '../../domain/learning/tally.ts'
import type { Release } from '../../ontology/release.ts'
import type { Database } from '../../store/database.ts'
import { outcomesBetween, outcomesMark, type StoredOutcome } from '../../store/learning-outcomes.ts'
import { putShare, type StoredPool } from '../../store/learning-pools.ts'
import type { StoredSettings } from '../../store/learning-settings.ts'
import { findRateSet, keepRateSet, newestRateSet, type StoredRateSet } from '../../store/rate-sets.ts'
import { ENGINE_VERSION } from '../basis.ts'
import { sha256Hex } from '../sha256.ts'
import { factsOf } from './facts.ts'
import { poolOfMonth, ratesForShop } from './pool.ts'
import { idOfSet, type KeptSet, type RateSet } from './rate-set.ts'

const MS_A_DAY = 86_400_000

export interface Asked {
  shop: string
  release: Release
  settings: StoredSettings
  now: number
  /** Up to this moment; otherwise the set of today serves, while nothing in it was taken away. */
  isFresh: boolean
}

export const toKept = ({ id, sha256, asOf, body }: StoredRateSet): KeptSet => ({
  id,
  sha256,
  asOf: new Date(asOf).toISOString(),
  set: JSON.parse(body) as RateSet,
})

export function toOutcome({
  closedAt,
  conclusion,
  confirmed,
  remedy,
  devices,
  hasUnnamedDevice,
}: Omit<StoredOutcome, 'callId'>): Outcome {
  return {
    closedAt,
    conclusion: conclusion as Outcome['conclusion'],
    confirmed: JSON.parse(confirmed) as Outcome['confirmed'],
    ...(remedy === null ? {} : { remedy }),
    devices: JSON.parse(devices) as string[],
    hasUnnamedDevice,
  }
}

async function tallyOf(database: Database, { shop, release, settings, now }: Asked): Promise<Tally> {
  const { facts, perDevice } = factsOf(release)
  const outcomes: Outcome[] = []
  const span = { from: settings.countsFrom ?? 0, before: now }
  for await (const page of outcomesBetween(database, shop, span, perDevice)) outcomes.push(...page.map(toOutcome))
  return tallyOutcomes(outcomes, facts)
}

/** What a set is made of, in short: while it is the same, the set is. */
async function fingerprintOf(
  database: Database,
  { shop, release, settings }: Asked,
  { through, month, pool }: { through: number; month: number; pool: StoredPool | undefined },
): Promise<string> {
  const mark = await outcomesMark(database, shop, settings.countsFrom ?? 0, through)
  const parts = [month, settings.version, pool?.sha256 ?? '-', release.version, release.manifest.sha256]
  return [...parts, ENGINE_VERSION, mark].join(' ')
}

async function stillGood(
  database: Database,
  asked: Asked,
  about: { month: number; pool: StoredPool | undefined },
): Promise<StoredRateSet | undefined> {
  const newest = await newestRateSet(database, asked.shop)
  const today = Math.floor(asked.now / MS_A_DAY) * MS_A_DAY
  if (!newest || newest.through < today) return undefined
  const through = asked.isFresh ? asked.now : newest.through
  return (await fingerprintOf(database, asked, { ...about, through })) === newest.fingerprint ? newest : undefined
}

/**
 * The set of rates that stands for a shop now, made and kept when there is none that still holds. Taken of the current
 * release, whichever an answer is asked of: what a confirmation proves is judged by the ontology of today.
 * @returns undefined for a shop that does not learn
 */
export async function currentSet(database: Database, asked: Asked): Promise<KeptSet | undefined> {
  const { shop, release, settings, now } = asked
  if (!settings.learning) return undefined
  const month = monthOf(now)
  const poolNow = async () => (settings.pooling ? poolOfMonth(database, month, release) : undefined)
  const good = await stillGood(database, asked, { month, pool: await poolNow() })
  if (good) return toKept(good)
  const tally = await tallyOf(database, asked)
  if (settings.pooling) await putShare(database, shop, JSON.stringify(tally))
  const pool = await poolNow()
  const pooled = pool ? await ratesForShop(database, shop, pool, release) : []
  const body = JSON.stringify({ month, tally, pooled } satisfies RateSet)
  const sha256 = await sha256Hex(body)
  const fingerprint = await fingerprintOf(database, asked, { through: now, month, pool })
  const made = { id: idOfSet(sha256), sha256, asOf: now, through: now, fingerprint, body }
  await keepRateSet(database, shop, made)
  return toKept((await findRateSet(database, shop, made.id)) ?? made)
}
