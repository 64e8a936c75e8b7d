import { and, asc, eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { apiKeys } from './schema/keys.ts'
import { shops } from './schema/shops.ts'

export interface StoredKey {
  id: string
  hash: string
  shopId: string
  prefix: string
  label: string | null
  scopes: string[]
  createdAt: number
  expiresAt: number | null
  revokedAt: number | null
  lastUsedAt: number | null
  replacedBy: string | null
}

const read = (row: typeof apiKeys.$inferSelect): StoredKey => ({
  ...row,
  id: row.id ?? '',
  scopes: row.scopes.split(' '),
})

/** Every key that begins so; the beginning is public, so looking it up gives nothing away. */
export async function keysWithPrefix({ orm }: Database, prefix: string): Promise<StoredKey[]> {
  return (await orm.select().from(apiKeys).where(eq(apiKeys.prefix, prefix))).map(read)
}

/** A shop's key of this id; undefined when there is none. */
export async function findKey({ orm }: Database, shopId: string, id: string): Promise<StoredKey | undefined> {
  const mine = and(eq(apiKeys.shopId, shopId), eq(apiKeys.id, id))
  const [row] = await orm.select().from(apiKeys).where(mine).limit(1)
  return row && read(row)
}

/** A shop's keys, oldest first. */
export async function listKeys({ orm }: Database, shopId: string, offset: number, limit: number): Promise<StoredKey[]> {
  const { createdAt, id } = apiKeys
  const mine = orm.select().from(apiKeys).where(eq(apiKeys.shopId, shopId))
  return (await mine.orderBy(asc(createdAt), asc(id)).limit(limit).offset(offset)).map(read)
}

/** Whether there is a shop of this id. */
export async function hasShop({ orm }: Database, shopId: string): Promise<boolean> {
  return (await orm.$count(shops, eq(shops.id, shopId))) > 0
}

const COLUMNS = 'hash, shop_id, prefix, scopes, created_at, expires_at, id, label'
const valuesOf = (key: StoredKey) => [
  key.hash,
  key.shopId,
  key.prefix,
  key.scopes.join(' '),
  key.createdAt,
  key.expiresAt,
  key.id,
  key.label,
]

/** Stores a key, and the shop when it is new, in one write. */
export async function insertKey(database: Database, key: StoredKey): Promise<void> {
  await write(database, [
    {
      sql: 'insert into shops (id, created_at) values (?, ?) on conflict (id) do nothing',
      args: [key.shopId, key.createdAt],
    },
    { sql: `insert into api_keys (${COLUMNS}) values (?, ?, ?, ?, ?, ?, ?, ?)`, args: valuesOf(key) },
  ])
}

const IN_FORCE = 'revoked_at is null and (expires_at is null or expires_at > ?9)'

/** Stores a key of a shop that has fewer than `most` in force; says whether it did. */
export async function insertKeyWithin(database: Database, key: StoredKey, most: number): Promise<boolean> {
  const sql = `insert into api_keys (${COLUMNS}) select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8
    where (select count(*) from api_keys where shop_id = ?2 and ${IN_FORCE}) < ?10`
  return (await write(database, [{ sql, args: [...valuesOf(key), key.createdAt, most] }])) > 0
}

/**
 * Puts a new key in the place of one in force, which ends at `endsAt` or earlier; says whether it did. Of two rotations at
 * once only one finds the key without a successor.
 */
export async function replaceKey(database: Database, oldId: string, key: StoredKey, endsAt: number): Promise<boolean> {
  const end = `update api_keys set replaced_by = ?7, expires_at = min(coalesce(expires_at, ?10), ?10)
    where shop_id = ?2 and id = ?11 and replaced_by is null and ${IN_FORCE}`
  const begin = `insert into api_keys (${COLUMNS}) select ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8
    where exists (select 1 from api_keys where shop_id = ?2 and id = ?9 and replaced_by = ?7)`
  const values = valuesOf(key)
  const changed = await write(database, [
    { sql: end, args: [...values, key.createdAt, endsAt, oldId] },
    { sql: begin, args: [...values, oldId] },
  ])
  return changed > 0
}

/** Ends a shop's keys with this prefix from `now` on; returns how many were in force. */
export async function revokeKeys(database: Database, shopId: string, prefix: string, now: number): Promise<number> {
  const revoke = 'update api_keys set revoked_at = ?3 where shop_id = ?1 and prefix = ?2 and revoked_at is null'
  return write(database, [{ sql: revoke, args: [shopId, prefix, now] }])
}

const isAdmin = (scopes: string) => `(' ' || ${scopes} || ' ') like '% admin %'`

/** Admin keys of a shop that are in force and stay: those that a rotation replaced do not count. */
export async function countAdmins({ client }: Database, shopId: string, now: number): Promise<number> {
  const sql = `select count(*) as count from api_keys where shop_id = ?1 and ${isAdmin('scopes')} and replaced_by is null
    and revoked_at is null and (expires_at is null or expires_at > ?2)`
  return Number((await client.execute({ sql, args: [shopId, now] })).rows[0]!.count)
}

/**
 * Ends one key from `now` on; says whether it did. Unless `mayLockOut`, the last admin key of a shop stays: decided in the
 * one statement, so that two at once cannot end each other's last.
 */
export async function revokeKey(
  database: Database,
  { shopId, id, now, mayLockOut }: { shopId: string; id: string; now: number; mayLockOut: boolean },
): Promise<boolean> {
  const sql = `update api_keys set revoked_at = ?3 where shop_id = ?1 and id = ?2 and revoked_at is null
    and (?4 or not ${isAdmin('scopes')} or exists (select 1 from api_keys other where other.shop_id = ?1 and other.id <> ?2
      and ${isAdmin('other.scopes')} and other.revoked_at is null and other.replaced_by is null
      and (other.expires_at is null or other.expires_at > ?3)))`
  return (await write(database, [{ sql, args: [shopId, id, now, Number(mayLockOut)] }])) > 0
}
