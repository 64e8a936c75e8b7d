import { eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { learningSettings } from './schema/learning.ts'

export interface StoredSettings {
  /** 0 for a shop that has decided nothing. */
  version: number
  learning: boolean
  pooling: boolean
  countsFrom: number | null
}

/** A shop learns from its own calls unless it says no, and shares nothing unless it says yes. */
const UNDECIDED: StoredSettings = { version: 0, learning: true, pooling: false, countsFrom: null }

export async function readSettings({ orm }: Database, shopId: string): Promise<StoredSettings> {
  const { version, learning, pooling, countsFrom } = learningSettings
  const columns = { version, learning, pooling, countsFrom }
  const [row] = await orm.select(columns).from(learningSettings).where(eq(learningSettings.shopId, shopId)).limit(1)
  return row ?? UNDECIDED
}

/**
 * Puts settings in the place of those of the version before. What the shop gave to the pool goes, and a pool that it is or
 * comes to be in goes with it, to be made again from those who consent then.
 * @returns whether the version before was still in force
 */
export async function replaceSettings(database: Database, shopId: string, next: StoredSettings): Promise<boolean> {
  const isInForce = 'coalesce((select version from learning_settings where shop_id = ?1), 0) = ?2'
  const args = [shopId, next.version - 1]
  const changed = await write(database, [
    {
      sql: `delete from learning_pools where ${isInForce}
        and (?3 = 1 or exists (select 1 from learning_shares where shop_id = ?1))`,
      args: [...args, Number(next.learning && next.pooling)],
    },
    { sql: `delete from learning_shares where shop_id = ?1 and ${isInForce}`, args },
    {
      sql: `insert into learning_settings (shop_id, version, learning, pooling, counts_from)
        select ?1, ?3, ?4, ?5, ?6 where ${isInForce}
        on conflict (shop_id) do update set version = excluded.version, learning = excluded.learning,
          pooling = excluded.pooling, counts_from = excluded.counts_from`,
      args: [...args, next.version, Number(next.learning), Number(next.pooling), next.countsFrom],
    },
  ])
  return changed > 0
}
