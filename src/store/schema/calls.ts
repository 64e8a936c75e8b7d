import { index, integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** Where each call stands: what its log comes to, as far as lists ask for it. */
export const calls = sqliteTable(
  'calls',
  {
    shopId: ofShop(),
    callId: text('call_id').notNull(),
    /** Number of the last event. */
    seq: integer('seq').notNull(),
    status: text('status').notNull(),
    release: text('release').notNull(),
    /** Milliseconds since 1970-01-01T00:00Z, as all times here. */
    openedAt: integer('opened_at').notNull(),
    changedAt: integer('changed_at').notNull(),
    siteRef: text('site_ref'),
    contactRef: text('contact_ref'),
    callbackDue: integer('callback_due'),
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.callId] }),
    index('calls_opened').on(table.shopId, table.openedAt, table.callId),
    index('calls_status').on(table.shopId, table.status, table.openedAt, table.callId),
    index('calls_site').on(table.shopId, table.siteRef, table.openedAt, table.callId),
    index('calls_contact').on(table.shopId, table.contactRef, table.openedAt, table.callId),
    index('calls_due').on(table.shopId, table.callbackDue),
    index('calls_changed').on(table.shopId, table.changedAt),
  ],
)

/** The log of each call; only ever added to. */
export const callEvents = sqliteTable(
  'call_events',
  {
    shopId: ofShop(),
    callId: text('call_id').notNull(),
    seq: integer('seq').notNull(),
    at: integer('at').notNull(),
    kind: text('kind').notNull(),
    /** The event as JSON. */
    body: text('body').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.callId, table.seq] })],
)

/** Answers that were given, whole and with their basis, by the event that records them. */
export const callAnswers = sqliteTable(
  'call_answers',
  {
    shopId: ofShop(),
    callId: text('call_id').notNull(),
    seq: integer('seq').notNull(),
    body: text('body').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.callId, table.seq] })],
)

/** Conditions and confirmed causes of each call, to find it by. */
export const callConcepts = sqliteTable(
  'call_concepts',
  {
    shopId: ofShop(),
    concept: text('concept').notNull(),
    callId: text('call_id').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.concept, table.callId] }),
    index('call_concepts_call').on(table.shopId, table.callId),
  ],
)

/** That a call was there and was erased; nothing of what it held. */
export const callTombstones = sqliteTable(
  'call_tombstones',
  {
    shopId: ofShop(),
    callId: text('call_id').notNull(),
    erasedAt: integer('erased_at').notNull(),
    /** asked or retention. */
    reason: text('reason').notNull(),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.callId] })],
)

/** How long a shop keeps its calls. */
export const callSettings = sqliteTable('call_settings', {
  shopId: ofShop().primaryKey(),
  retentionDays: integer('retention_days').notNull(),
})
