import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** Documents of one kind that a shop keeps, each by its own name. */
const documents = <Name extends string>(name: Name) =>
  sqliteTable(
    name,
    {
      shopId: ofShop(),
      name: text('name').notNull(),
      sha256: text('sha256').notNull(),
      body: text('body').notNull(),
      updatedAt: integer('updated_at').notNull(),
    },
    (table) => [primaryKey({ columns: [table.shopId, table.name] })],
  )

export const overlays = documents('overlays')
export const profiles = documents('profiles')
