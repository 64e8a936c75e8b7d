import { index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** What a shop decided about learning; a shop without a row has decided nothing. */
export const learningSettings = sqliteTable('learning_settings', {
  shopId: ofShop().primaryKey(),
  version: integer('version').notNull(),
  learning: integer('learning', { mode: 'boolean' }).notNull(),
  /** Whether its counts may be put together with those of others, and theirs with its own. */
  pooling: integer('pooling', { mode: 'boolean' }).notNull(),
  /** Outcomes closed before it do not count [ms since 1970]. */
  countsFrom: integer('counts_from'),
})

/** Sets of rates as they were used, so that an answer can be repeated. Counts only: erasing a call takes nothing from them. */
export const rateSets = sqliteTable(
  'rate_sets',
  {
    shopId: ofShop(),
    id: text('id').notNull(),
    sha256: text('sha256').notNull(),
    /** When it was first made [ms since 1970]. */
    asOf: integer('as_of').notNull(),
    /** Outcomes closed before this moment are in it; moves on when a later look finds the same counts. */
    through: integer('through').notNull(),
    /** What the outcomes, the pool and the release were like, to tell a set that is out of date. */
    fingerprint: text('fingerprint').notNull(),
    body: text('body').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.id] }),
    index('rate_sets_newest').on(table.shopId, table.through),
  ],
)

/** What a consenting shop gives: its counts by month, and how much of them the present pool holds. */
export const learningShares = sqliteTable('learning_shares', {
  shopId: ofShop().primaryKey(),
  counts: text('counts').notNull(),
  given: text('given'),
})

/** Counts of all consenting shops together, one for each month. No shop in it: the one table without a shop's id. */
export const learningPools = sqliteTable('learning_pools', {
  month: integer('month').primaryKey(),
  sha256: text('sha256').notNull(),
  body: text('body').notNull(),
})
