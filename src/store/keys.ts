import { eq } from 'drizzle-orm'
import { type Database, write } from './database.ts'
import { apiKeys } from './schema/keys.ts'
import { shops } from './schema/shops.ts'

export interface StoredKey {
  hash: string
  shopId: string
  prefix: string
  scopes: string[]
  createdAt: number
  expiresAt: number | null
  revokedAt: number | null
}

/** The key with this hash; undefined when there is none. */
export async function findKey({ orm }: Database, hash: string): Promise<StoredKey | undefined> {
  const [row] = await orm.select().from(apiKeys).where(eq(apiKeys.hash, hash)).limit(1)
  return row && { ...row, scopes: row.scopes.split(' ') }
}

/** Whether there is a shop of this id. */
export async function hasShop({ orm }: Database, shopId: string): Promise<boolean> {
  return (await orm.$count(shops, eq(shops.id, shopId))) > 0
}

/** Stores a key, and the shop when it is new, in one write. */
export async function insertKey(database: Database, key: StoredKey): Promise<void> {
  await write(database, [
    {
      sql: 'insert into shops (id, created_at) values (?, ?) on conflict (id) do nothing',
      args: [key.shopId, key.createdAt],
    },
    {
      sql: 'insert into api_keys (hash, shop_id, prefix, scopes, created_at, expires_at, revoked_at) values (?, ?, ?, ?, ?, ?, ?)',
      args: [key.hash, key.shopId, key.prefix, key.scopes.join(' '), key.createdAt, key.expiresAt, key.revokedAt],
    },
  ])
}

/** Ends a shop's keys with this prefix from `now` on; returns how many were in force. */
export async function revokeKeys(database: Database, shopId: string, prefix: string, now: number): Promise<number> {
  const revoke = 'update api_keys set revoked_at = ?3 where shop_id = ?1 and prefix = ?2 and revoked_at is null'
  return write(database, [{ sql: revoke, args: [shopId, prefix, now] }])
}
