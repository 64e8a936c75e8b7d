import type { InStatement } from '@libsql/client'
import { and, eq, lt } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { callSettings, calls } from './schema/calls.ts'
import { shops } from './schema/shops.ts'

const MS_A_DAY = 86_400_000
/** How long calls are kept by a shop that has not said otherwise. Judgement. */
export const DEFAULT_RETENTION_DAYS = 365

/** The calls that a batch erases: those of the shop that meet a condition on their head. */
const chosen = (condition: string) => `(select call_id from calls where shop_id = ?1 and ${condition})`

/** Everything that is held of calls goes, their heads last, and that they were there stays. */
function erasing(condition: string, args: (string | number)[], erasedAt: number, reason: string): InStatement[] {
  const gone = chosen(condition)
  const each = ['call_events', 'call_answers', 'call_concepts', 'call_outcomes']
  return [
    {
      sql: `insert into call_tombstones (shop_id, call_id, erased_at, reason)
        select shop_id, call_id, ${erasedAt}, '${reason}' from calls where shop_id = ?1 and ${condition}`,
      args,
    },
    ...each.map((table) => ({ sql: `delete from ${table} where shop_id = ?1 and call_id in ${gone}`, args })),
    {
      // What a call's key made is named "call/<id>/<number>", and every id has 32 characters.
      sql: `delete from idempotency_keys where shop_id = ?1 and substr(response_ref, 6, 32) in ${gone}`,
      args,
    },
    { sql: `delete from calls where shop_id = ?1 and ${condition}`, args },
  ]
}

/**
 * Erases one call as it stands at an event; another state of it is left alone.
 * @returns whether it was erased
 */
export async function eraseCall(
  database: Database,
  shopId: string,
  { callId, seq, now }: { callId: string; seq: number; now: number },
): Promise<boolean> {
  return (await write(database, erasing('call_id = ?2 and seq = ?3', [shopId, callId, seq], now, 'asked'))) > 0
}

export async function retentionDays({ orm }: Database, shopId: string): Promise<number> {
  const [row] = await orm.select().from(callSettings).where(eq(callSettings.shopId, shopId)).limit(1)
  return row?.retentionDays ?? DEFAULT_RETENTION_DAYS
}

/** Sets how long calls are kept, if it is still what it was thought to be; says whether it was. */
export async function setRetention(database: Database, shopId: string, was: number, days: number): Promise<boolean> {
  const sql = `insert into call_settings (shop_id, retention_days) select ?1, ?3
    where coalesce((select retention_days from call_settings where shop_id = ?1), ${DEFAULT_RETENTION_DAYS}) = ?2
    on conflict (shop_id) do update set retention_days = excluded.retention_days`
  return (await write(database, [{ sql, args: [shopId, was, days] }])) > 0
}

/** Erases a shop's calls that nothing was added to for longer than it keeps them; returns how many. */
export async function purgeCalls(database: Database, shopId: string, now: number): Promise<number> {
  const before = now - (await retentionDays(database, shopId)) * MS_A_DAY
  const expired = await database.orm.$count(calls, and(eq(calls.shopId, shopId), lt(calls.changedAt, before)))
  if (expired > 0) await write(database, erasing('changed_at < ?2', [shopId, before], now, 'retention'))
  return expired
}

/** Every shop, for what is done to all of them. */
export async function everyShop({ orm }: Database): Promise<string[]> {
  return (await orm.select({ id: shops.id }).from(shops)).map(({ id }) => id)
}
