import { integer, sqliteTable, text } from 'drizzle-orm/sqlite-core'

/** The shop's id is first in every key of every table, so that no query can cross from one shop to another by accident. */
export const shops = sqliteTable('shops', {
  id: text('id').primaryKey(),
  createdAt: integer('created_at').notNull(),
})

/** The column of a table that belongs to shops. */
export const ofShop = () =>
  text('shop_id')
    .notNull()
    .references(() => shops.id)
