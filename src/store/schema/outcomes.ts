import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** How a call ended; written when it is closed, removed when it is reopened or erased. Learning reads this table alone. */
export const callOutcomes = sqliteTable(
  'call_outcomes',
  {
    shopId: ofShop(),
    callId: text('call_id').notNull(),
    /** Milliseconds since 1970-01-01T00:00Z. */
    closedAt: integer('closed_at').notNull(),
    /** Release of the ontology that the call was pinned to. */
    release: text('release').notNull(),
    engine: text('engine').notNull(),
    /** confirmed, gone-by-itself, not-confirmed. */
    conclusion: text('conclusion').notNull(),
    /** JSON list of { cause, device?, by }, by one of check, repair, technician, said. */
    confirmed: text('confirmed').notNull(),
    remedy: text('remedy'),
    /** JSON list of { cause, device?, probability, prior }: what the engine held of each cause at the close. */
    predicted: text('predicted').notNull(),
    /** Id of the rates that the predictions were made with; "published" without learned ones. */
    ratesId: text('rates_id').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.closedAt, table.callId] })],
)
