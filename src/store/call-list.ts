import { and, asc, desc, eq, exists, gte, lt, lte, ne, or, type SQL, sql } from 'drizzle-orm'
import type { CallHead } from './calls.ts'
import type { Database } from './database.ts'
import { callConcepts, calls } from './schema/calls.ts'

export interface CallFilter {
  status?: 'open' | 'closed'
  siteRef?: string
  contactRef?: string
  /** Callbacks due at this moment or before. */
  dueBy?: number
  /** Ids of a condition that was reported, a cause that was confirmed. */
  concepts?: readonly string[]
  /** Opened at this moment or after, and before the other. */
  from?: number
  before?: number
}
/** The last call of a page. */
export type Place = readonly [openedAt: number, callId: string]

const HEAD = {
  callId: calls.callId,
  seq: calls.seq,
  status: calls.status,
  release: calls.release,
  openedAt: calls.openedAt,
  changedAt: calls.changedAt,
  siteRef: calls.siteRef,
  contactRef: calls.contactRef,
  callbackDue: calls.callbackDue,
}

const hasConcept = ({ orm }: Database, concept: string): SQL =>
  exists(
    orm
      .select({ one: sql`1` })
      .from(callConcepts)
      .where(
        and(
          eq(callConcepts.shopId, calls.shopId),
          eq(callConcepts.concept, concept),
          eq(callConcepts.callId, calls.callId),
        ),
      ),
  )

function conditionsOf(database: Database, filter: CallFilter): (SQL | undefined)[] {
  const { status, siteRef, contactRef, dueBy, concepts = [], from, before } = filter
  return [
    status === undefined ? undefined : eq(calls.status, status),
    siteRef === undefined ? undefined : eq(calls.siteRef, siteRef),
    contactRef === undefined ? undefined : eq(calls.contactRef, contactRef),
    dueBy === undefined ? undefined : lte(calls.callbackDue, dueBy),
    from === undefined ? undefined : gte(calls.openedAt, from),
    before === undefined ? undefined : lt(calls.openedAt, before),
    ...concepts.map((concept) => hasConcept(database, concept)),
  ]
}

/** A shop's calls, the newest first, after a place. */
export function listHeads(
  database: Database,
  shopId: string,
  filter: CallFilter,
  { after, limit }: { after?: Place | undefined; limit: number },
): Promise<CallHead[]> {
  const behind =
    after && or(lt(calls.openedAt, after[0]), and(eq(calls.openedAt, after[0]), lt(calls.callId, after[1])))
  return database.orm
    .select(HEAD)
    .from(calls)
    .where(and(eq(calls.shopId, shopId), behind, ...conditionsOf(database, filter)))
    .orderBy(desc(calls.openedAt), desc(calls.callId))
    .limit(limit)
}

/** Other calls of the same site, the newest first, each with the concepts it is found by. */
export async function callsOfSite(
  { orm }: Database,
  shopId: string,
  { siteRef, callId, limit }: { siteRef: string; callId: string; limit: number },
): Promise<(CallHead & { concepts: string[] })[]> {
  const rows = await orm
    .select({
      ...HEAD,
      // Names in full: a bare one would be taken for a column of the inner table.
      concepts: sql<string>`(select json_group_array(concept) from (select concept from call_concepts
        where call_concepts.shop_id = calls.shop_id and call_concepts.call_id = calls.call_id order by concept))`,
    })
    .from(calls)
    .where(and(eq(calls.shopId, shopId), eq(calls.siteRef, siteRef), ne(calls.callId, callId)))
    .orderBy(desc(calls.openedAt), desc(calls.callId))
    .limit(limit)
  return rows.map((row) => ({ ...row, concepts: JSON.parse(row.concepts) as string[] }))
}

/** Conditions and confirmed causes that a call is found by. */
export async function conceptsOf({ orm }: Database, shopId: string, callId: string): Promise<string[]> {
  const mine = and(eq(callConcepts.shopId, shopId), eq(callConcepts.callId, callId))
  const { concept } = callConcepts
  return (await orm.select({ concept }).from(callConcepts).where(mine).orderBy(asc(concept))).map((row) => row.concept)
}
