import { and, desc, eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { rateSets } from './schema/learning.ts'

export interface StoredRateSet {
  id: string
  sha256: string
  asOf: number
  through: number
  fingerprint: string
  /** The set as JSON. */
  body: string
}

/** The set that a shop looked at last. */
export async function newestRateSet({ orm }: Database, shopId: string): Promise<StoredRateSet | undefined> {
  const mine = eq(rateSets.shopId, shopId)
  const [row] = await orm.select().from(rateSets).where(mine).orderBy(desc(rateSets.through)).limit(1)
  return row
}

export async function findRateSet({ orm }: Database, shopId: string, id: string): Promise<StoredRateSet | undefined> {
  const [row] = await orm
    .select()
    .from(rateSets)
    .where(and(eq(rateSets.shopId, shopId), eq(rateSets.id, id)))
    .limit(1)
  return row
}

/** Keeps a set; one of the same content stays as it was first made, and is the newest again. */
export async function keepRateSet(database: Database, shopId: string, set: StoredRateSet): Promise<void> {
  await write(database, [
    {
      sql: `insert into rate_sets (shop_id, id, sha256, as_of, through, fingerprint, body) values (?, ?, ?, ?, ?, ?, ?)
        on conflict (shop_id, id) do update set through = excluded.through, fingerprint = excluded.fingerprint`,
      args: [shopId, set.id, set.sha256, set.asOf, set.through, set.fingerprint, set.body],
    },
  ])
}
