import type { InStatement } from '@libsql/client'
import { and, asc, eq, lte, sql } from 'drizzle-orm'
import type { Database } from './database.ts'
import { callAnswers, callEvents, calls, callTombstones } from './schema/calls.ts'

/** Where a call stands, as lists show it. */
export interface CallHead {
  callId: string
  seq: number
  status: string
  release: string
  openedAt: number
  changedAt: number
  siteRef: string | null
  contactRef: string | null
  callbackDue: number | null
}
export interface StoredEvent {
  seq: number
  at: number
  kind: string
  /** JSON. */
  body: string
}

const eventsOf = (shopId: string, callId: string) => and(eq(callEvents.shopId, shopId), eq(callEvents.callId, callId))

/** The log of a call in order, up to an event; empty when there is none. */
export function readEvents(
  { orm }: Database,
  shopId: string,
  callId: string,
  upTo = Number.MAX_SAFE_INTEGER,
): Promise<StoredEvent[]> {
  const { seq, at, kind, body } = callEvents
  return orm
    .select({ seq, at, kind, body })
    .from(callEvents)
    .where(and(eventsOf(shopId, callId), lte(seq, upTo)))
    .orderBy(asc(seq))
}

/** Whether the shop had a call of this id and erased it. */
export async function isErased({ orm }: Database, shopId: string, callId: string): Promise<boolean> {
  const mine = and(eq(callTombstones.shopId, shopId), eq(callTombstones.callId, callId))
  return (await orm.$count(callTombstones, mine)) > 0
}

/** An answer that was given, as JSON; undefined when that event is none. */
export async function readAnswer(
  { orm }: Database,
  shopId: string,
  callId: string,
  seq: number,
): Promise<string | undefined> {
  const mine = and(eq(callAnswers.shopId, shopId), eq(callAnswers.callId, callId), eq(callAnswers.seq, seq))
  const [row] = await orm.select({ body: callAnswers.body }).from(callAnswers).where(mine).limit(1)
  return row?.body
}

/** Every answer of a call, as JSON, in order. */
export function readAnswers({ orm }: Database, shopId: string, callId: string) {
  const mine = and(eq(callAnswers.shopId, shopId), eq(callAnswers.callId, callId))
  const { seq, body } = callAnswers
  return orm.select({ seq, body }).from(callAnswers).where(mine).orderBy(asc(seq))
}

/** How many open calls a shop has. */
export function countOpen({ orm }: Database, shopId: string): Promise<number> {
  return orm.$count(calls, and(eq(calls.shopId, shopId), eq(calls.status, 'open')))
}

/** What tells one state of all of a shop's calls from another. */
export async function callsMark({ orm }: Database, shopId: string): Promise<string> {
  const [row] = await orm
    .select({
      count: sql<number>`count(*)`,
      events: sql<number>`coalesce(sum(${calls.seq}), 0)`,
      last: sql<number>`coalesce(max(${calls.changedAt}), 0)`,
    })
    .from(calls)
    .where(eq(calls.shopId, shopId))
  return [row!.count, row!.events, row!.last].join('-')
}

/** Statements that open a call: its head and its first event. */
export function openStatements(shopId: string, head: CallHead, event: StoredEvent): InStatement[] {
  const { callId } = head
  return [
    {
      sql: 'insert into calls (shop_id, call_id, seq, status, release, opened_at, changed_at, site_ref, contact_ref, callback_due) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)',
      args: [
        shopId,
        callId,
        head.seq,
        head.status,
        head.release,
        head.openedAt,
        head.changedAt,
        head.siteRef,
        head.contactRef,
        head.callbackDue,
      ],
    },
    {
      sql: 'insert into call_events (shop_id, call_id, seq, at, kind, body) values (?, ?, ?, ?, ?, ?)',
      args: [shopId, callId, event.seq, event.at, event.kind, event.body],
    },
  ]
}

/**
 * Statements that add an event after event `seq - 1`. Where the call does not stand there any more, or is erased, the
 * number comes out as null, which its column refuses, and with it the whole batch.
 */
export function appendStatements(shopId: string, head: CallHead, event: StoredEvent): InStatement[] {
  const { callId } = head
  return [
    {
      sql: `insert into call_events (shop_id, call_id, seq, at, kind, body) values (?1, ?2,
        (select seq + 1 from calls where shop_id = ?1 and call_id = ?2 and seq = ?3), ?4, ?5, ?6)`,
      args: [shopId, callId, event.seq - 1, event.at, event.kind, event.body],
    },
    {
      sql: 'update calls set seq = ?3, status = ?4, changed_at = ?5, site_ref = ?6, contact_ref = ?7, callback_due = ?8 where shop_id = ?1 and call_id = ?2',
      args: [shopId, callId, event.seq, head.status, head.changedAt, head.siteRef, head.contactRef, head.callbackDue],
    },
  ]
}

/** Statements that put a call's concepts in the place of those it was found by. */
export function conceptStatements(shopId: string, callId: string, concepts: readonly string[]): InStatement[] {
  return [
    { sql: 'delete from call_concepts where shop_id = ? and call_id = ?', args: [shopId, callId] },
    {
      sql: 'insert into call_concepts (shop_id, concept, call_id) select ?1, value, ?2 from json_each(?3)',
      args: [shopId, callId, JSON.stringify([...new Set(concepts)])],
    },
  ]
}

/** Statement that keeps an answer beside the event that records it. */
export function answerStatement(shopId: string, callId: string, seq: number, body: string): InStatement {
  return {
    sql: 'insert into call_answers (shop_id, call_id, seq, body) values (?, ?, ?, ?)',
    args: [shopId, callId, seq, body],
  }
}

export interface OutcomeRow {
  closedAt: number
  release: string
  engine: string
  conclusion: string
  /** JSON, as the two below say in the schema. */
  confirmed: string
  remedy: string | null
  predicted: string
  ratesId: string
}

/** Statement that takes a call's outcome away. */
export function forgetOutcome(shopId: string, callId: string): InStatement {
  return { sql: 'delete from call_outcomes where shop_id = ? and call_id = ?', args: [shopId, callId] }
}

/** Statement that takes back that a remedy cleared a call's trouble. */
export function forgetClearing(shopId: string, callId: string): InStatement {
  return { sql: 'update call_outcomes set remedy = null where shop_id = ? and call_id = ?', args: [shopId, callId] }
}

/** Statements that put the outcome of a closed call where learning reads it. */
export function outcomeStatements(shopId: string, callId: string, row: OutcomeRow): InStatement[] {
  return [
    forgetOutcome(shopId, callId),
    {
      sql: 'insert into call_outcomes (shop_id, call_id, closed_at, release, engine, conclusion, confirmed, remedy, predicted, rates_id) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)',
      args: [
        shopId,
        callId,
        row.closedAt,
        row.release,
        row.engine,
        row.conclusion,
        row.confirmed,
        row.remedy,
        row.predicted,
        row.ratesId,
      ],
    },
  ]
}
