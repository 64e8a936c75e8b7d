import { eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { learningPools, learningShares } from './schema/learning.ts'

/** Most shops that are put together. */
export const MOST_SHOPS = 200

export interface StoredPool {
  sha256: string
  body: string
}
/** A pool made of counts, and how much of each went into it, in their order. */
export interface MadePool extends StoredPool {
  given: string[]
}

export async function findPool({ orm }: Database, month: number): Promise<StoredPool | undefined> {
  const [row] = await orm.select().from(learningPools).where(eq(learningPools.month, month)).limit(1)
  return row && { sha256: row.sha256, body: row.body }
}

/**
 * Makes the pool of a month from what consenting shops give. `combine` sees their counts in a fixed order and nothing
 * that says whose they are; no shop's id leaves this function.
 */
export async function makePool(
  database: Database,
  month: number,
  combine: (counts: readonly string[]) => Promise<MadePool | undefined>,
): Promise<StoredPool | undefined> {
  const { rows } = await database.client.execute({
    sql: `select shop_id, counts from learning_shares join learning_settings using (shop_id)
      where learning = 1 and pooling = 1 order by shop_id limit ?`,
    args: [MOST_SHOPS],
  })
  const made = await combine(rows.map(({ counts }) => String(counts)))
  if (made === undefined) return undefined
  await write(database, [
    { sql: 'delete from learning_pools', args: [] },
    {
      sql: 'insert into learning_pools (month, sha256, body) values (?, ?, ?)',
      args: [month, made.sha256, made.body],
    },
    { sql: 'update learning_shares set given = null', args: [] },
    ...rows.map((row, at) => ({
      sql: 'update learning_shares set given = ?2 where shop_id = ?1',
      args: [String(row.shop_id), made.given[at]!],
    })),
  ])
  return { sha256: made.sha256, body: made.body }
}

/** What the present pool holds of a shop. */
export async function givenShare({ orm }: Database, shopId: string): Promise<string | undefined> {
  const [row] = await orm.select().from(learningShares).where(eq(learningShares.shopId, shopId)).limit(1)
  return row?.given ?? undefined
}

/** Puts a shop's counts in the place of those it gave before, if it consents at this moment. */
export async function putShare(database: Database, shopId: string, counts: string): Promise<void> {
  await write(database, [
    {
      sql: `insert into learning_shares (shop_id, counts)
        select shop_id, ?2 from learning_settings where shop_id = ?1 and learning = 1 and pooling = 1
        on conflict (shop_id) do update set counts = excluded.counts`,
      args: [shopId, counts],
    },
  ])
}
