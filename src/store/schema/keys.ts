import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { shops } from './shops.ts'

export const apiKeys = sqliteTable('api_keys', {
  /** SHA-256 of the key; the key itself is never stored. */
  hash: text('hash').primaryKey(),
  shopId: text('shop_id')
    .notNull()
    .references(() => shops.id),
  /** First characters, so that a person can tell keys apart. */
  prefix: text('prefix').notNull(),
  scopes: text('scopes').notNull(),
  createdAt: integer('created_at').notNull(),
  expiresAt: integer('expires_at'),
  revokedAt: integer('revoked_at'),
})
