import { type Database, writeReturning } from './database.ts'

export interface Use {
  shopId: string
  keyId: string
  now: number
  /** Requests that a minute allows: those beyond it do not count towards the day. */
  minuteLimit: number
  /** Sets the time of the last use too. */
  touches: boolean
}

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000

/** A host whose clock is behind counts into the later minute, so that two clocks cannot clear each other's count. */
const COUNT = `insert into key_usage (shop_id, key_id, minute, minute_count, day, day_count) values (?1, ?2, ?3, 1, ?4, 1)
on conflict (shop_id, key_id) do update set
  minute = max(minute, excluded.minute),
  minute_count = case when excluded.minute > minute then 1 else minute_count + 1 end,
  day = max(day, excluded.day),
  day_count = case when excluded.day > day then 1
    when excluded.minute <= minute and minute_count >= ?5 then day_count else day_count + 1 end
returning minute_count, day_count`

/** Counts further requests of a key that was counted before, where its minute and its day have room for all of them. */
const TAKE = `update key_usage set
  minute = max(minute, ?3),
  minute_count = case when ?3 > minute then 0 else minute_count end + ?5,
  day = max(day, ?4),
  day_count = case when ?4 > day then 0 else day_count end + ?5
where shop_id = ?1 and key_id = ?2
  and case when ?3 > minute then 0 else minute_count end + ?5 <= ?6
  and case when ?4 > day then 0 else day_count end + ?5 <= ?7
returning minute_count, day_count`
const STANDING = `select case when ?3 > minute then 0 else minute_count end as minute_count,
  case when ?4 > day then 0 else day_count end as day_count
from key_usage where shop_id = ?1 and key_id = ?2`

const secondsLeft = (now: number, span: number) => Math.ceil((span - (now % span)) / 1000)

const countsOf = (row: Record<string, unknown>, now: number) => ({
  minute: { count: Number(row.minute_count), endsInS: secondsLeft(now, MINUTE_MS) },
  day: { count: Number(row.day_count), endsInS: secondsLeft(now, DAY_MS) },
})

/** Counts one request of a key; returns how many its minute and its day had, this one included, and when they end. */
export async function countUse(database: Database, { shopId, keyId, now, minuteLimit, touches }: Use) {
  const args = [shopId, keyId, Math.floor(now / MINUTE_MS), Math.floor(now / DAY_MS), minuteLimit]
  const touch = { sql: 'update api_keys set last_used_at = ? where shop_id = ? and id = ?', args: [now, shopId, keyId] }
  const [counted] = await writeReturning(database, [{ sql: COUNT, args }, ...(touches ? [touch] : [])])
  return countsOf(counted!.rows[0]!, now)
}

export interface Taking {
  shopId: string
  keyId: string
  now: number
  requests: number
  minuteLimit: number
  dayLimit: number
}

/** Counts further requests of a key, all or none; returns whether, and what its minute and its day had; undefined for a key never counted. */
export async function takeUse(database: Database, { shopId, keyId, now, requests, minuteLimit, dayLimit }: Taking) {
  const at = [Math.floor(now / MINUTE_MS), Math.floor(now / DAY_MS)]
  const key = [shopId, keyId, ...at]
  const [taken, standing] = await writeReturning(database, [
    { sql: TAKE, args: [...key, requests, minuteLimit, dayLimit] },
    { sql: STANDING, args: key },
  ])
  const row = standing!.rows[0]
  return row && { isTaken: taken!.rows.length > 0, ...countsOf(row, now) }
}
