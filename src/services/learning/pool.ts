import { carryOver } from '../../domain/learning/carry-over.ts'
import { type Pool, poolCounts, pooledRates } from '../../domain/learning/pool.ts'
import type { CauseCount, Exposure, Tally } from '../../domain/learning/tally.ts'
import { type WeighedCounts, weighTally } from '../../domain/learning/weigh.ts'
import type { Release } from '../../ontology/release.ts'
import type { Database } from '../../store/database.ts'
import { findPool, givenShare, type MadePool, makePool, type StoredPool } from '../../store/learning-pools.ts'
import { sha256Hex } from '../sha256.ts'
import { factsOf } from './facts.ts'

interface CountsOnDisk {
  calls: Exposure
  devices: Exposure
  causes: Required<CauseCount>[]
}
const toDisk = ({ calls, devices, causes }: WeighedCounts): CountsOnDisk => ({
  calls,
  devices,
  causes: [...causes.values()],
})
const fromDisk = ({ calls, devices, causes }: CountsOnDisk): WeighedCounts => ({
  calls,
  devices,
  causes: new Map(causes.map((count) => [count.cause, count])),
})

/** Only whole months that are over are put together, so that a pool does not follow single calls. */
const before = ({ months, ...rest }: Tally, month: number): Tally => ({
  ...rest,
  months: months.filter((one) => one.month < month),
})

async function combine(counts: readonly string[], month: number, release: Release): Promise<MadePool | undefined> {
  const { replacements, perDevice } = factsOf(release)
  const ofDevices = new Set(perDevice)
  const shops = counts.map((one) => carryOver(weighTally(before(JSON.parse(one) as Tally, month), month), replacements))
  const made = poolCounts(shops, (cause) => ofDevices.has(cause))
  if (!made) return undefined
  const { pool, shares } = made
  const body = JSON.stringify({ shops: pool.shops, counts: toDisk(pool.counts), shopsOf: [...pool.shopsOf] })
  return { body, sha256: await sha256Hex(body), given: shares.map((share) => JSON.stringify(toDisk(share))) }
}

/** The pool of a month: made when it is first asked for, and again after a shop changed its mind. */
export async function poolOfMonth(
  database: Database,
  month: number,
  release: Release,
): Promise<StoredPool | undefined> {
  return (await findPool(database, month)) ?? makePool(database, month, (counts) => combine(counts, month, release))
}

/** What the other shops of a pool say to one of them. */
export async function ratesForShop(
  database: Database,
  shop: string,
  { body }: StoredPool,
  release: Release,
): Promise<{ cause: string; rate: number }[]> {
  const { shops, counts, shopsOf } = JSON.parse(body) as {
    shops: number
    counts: CountsOnDisk
    shopsOf: [string, number][]
  }
  const pool: Pool = { shops, counts: fromDisk(counts), shopsOf: new Map(shopsOf) }
  const given = await givenShare(database, shop)
  const own = given === undefined ? undefined : fromDisk(JSON.parse(given) as CountsOnDisk)
  return [...pooledRates(pool, own, factsOf(release).published)].map(([cause, rate]) => ({ cause, rate }))
}
