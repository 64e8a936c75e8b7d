import { index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** Keys under which a shop made something, so that a request sent again makes nothing twice. No content is kept here. */
export const idempotencyKeys = sqliteTable(
  'idempotency_keys',
  {
    shopId: ofShop(),
    key: text('key').notNull(),
    /** SHA-256 of method, path and body. */
    requestHash: text('request_hash').notNull(),
    /** What the first request made, as the operation names it; its answer is made from that again. */
    responseRef: text('response_ref').notNull(),
    createdAt: integer('created_at').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.key] }),
    index('idempotency_age').on(table.shopId, table.createdAt),
    index('idempotency_ref').on(table.shopId, table.responseRef),
  ],
)
