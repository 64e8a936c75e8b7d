import { index, integer, primaryKey, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

export const apiKeys = sqliteTable(
  'api_keys',
  {
    /** SHA-256 of the key; the key itself is never stored. */
    hash: text('hash').primaryKey(),
    shopId: ofShop(),
    /** First characters: public, by which a person tells keys apart and a presented key finds its rows. */
    prefix: text('prefix').notNull(),
    scopes: text('scopes').notNull(),
    createdAt: integer('created_at').notNull(),
    expiresAt: integer('expires_at'),
    revokedAt: integer('revoked_at'),
    /** Name in the API; rows of the time before ids have one by a migration. */
    id: text('id'),
    label: text('label'),
    /** Written at most once an hour. */
    lastUsedAt: integer('last_used_at'),
    /** Id of the key that a rotation put in its place. */
    replacedBy: text('replaced_by'),
  },
  (table) => [uniqueIndex('keys_id').on(table.shopId, table.id), index('keys_prefix').on(table.prefix)],
)

/** What a key has used of its quotas: one row a key, the current minute and the current day of UTC. */
export const keyUsage = sqliteTable(
  'key_usage',
  {
    shopId: ofShop(),
    keyId: text('key_id').notNull(),
    minute: integer('minute').notNull(),
    minuteCount: integer('minute_count').notNull(),
    day: integer('day').notNull(),
    dayCount: integer('day_count').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.keyId] })],
)
