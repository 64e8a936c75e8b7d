import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { shops } from './shops.ts'

/** Overlays of the ontology that a shop keeps, each by its own name. */
export const overlays = sqliteTable(
  'overlays',
  {
    shopId: text('shop_id')
      .notNull()
      .references(() => shops.id),
    name: text('name').notNull(),
    sha256: text('sha256').notNull(),
    body: text('body').notNull(),
    updatedAt: integer('updated_at').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.name] })],
)
