import type { EventOf } from '../domain/calls/event.ts'
import type { CallState } from '../domain/calls/state.ts'
import type { CallLimits } from '../domain/calls/transition.ts'
import { eraseCall, purgeCalls, retentionDays, setRetention } from '../store/call-erasure.ts'
import { type CallFilter, callsOfSite, conceptsOf, listHeads, type Place } from '../store/call-list.ts'
import { callsMark, countOpen, readAnswer, readEvents } from '../store/calls.ts'
import type { Database } from '../store/database.ts'
import { exportCalls } from './calls/export.ts'
import { CallFaultError, eventFrom } from './calls/log.ts'
import { type Addition, addToCall, openCall, readCall } from './calls/write-call.ts'
import type { Claim } from './idempotency.ts'

export interface WriteAsked {
  shop: string
  claim: Claim | undefined
  limits: CallLimits
}

const newId = () => crypto.randomUUID().replaceAll('-', '')

/** Calls of shops over a database. */
export function callsPort(database: Database) {
  return {
    now: () => Date.now(),
    open: async (asked: WriteAsked, event: EventOf<'opened'>) => {
      await purgeCalls(database, asked.shop, Date.now())
      return openCall(database, { ...asked, now: Date.now() }, { callId: newId(), event })
    },
    countOpen: (shop: string) => countOpen(database, shop),
    read: (shop: string, callId: string, upTo?: number) => readCall(database, shop, callId, upTo),
    add: async (
      asked: WriteAsked,
      at: { callId: string; isSeen: (seq: number) => boolean },
      make: (state: CallState, now: number) => Promise<Addition>,
    ) => {
      const now = Date.now()
      await purgeCalls(database, asked.shop, now)
      return addToCall(database, { ...asked, now }, at, (state) => make(state, now))
    },
    events: async (shop: string, callId: string) => {
      await readCall(database, shop, callId)
      return (await readEvents(database, shop, callId)).map((event) => ({ seq: event.seq, ...eventFrom(event) }))
    },
    answer: async (shop: string, callId: string, seq: number): Promise<unknown> => {
      const body = await readAnswer(database, shop, callId, seq)
      return body === undefined ? undefined : JSON.parse(body)
    },
    list: async (shop: string, filter: CallFilter, page: { after?: Place | undefined; limit: number }) => {
      await purgeCalls(database, shop, Date.now())
      return listHeads(database, shop, filter, page)
    },
    ofSite: (shop: string, siteRef: string, callId: string, limit: number) =>
      callsOfSite(database, shop, { siteRef, callId, limit }),
    concepts: (shop: string, callId: string) => conceptsOf(database, shop, callId),
    erase: async (shop: string, callId: string, isSeen: (seq: number) => boolean) => {
      const { seq } = await readCall(database, shop, callId)
      const isDone = isSeen(seq) && (await eraseCall(database, shop, { callId, seq, now: Date.now() }))
      if (!isDone) throw new CallFaultError('moved-on')
    },
    mark: (shop: string) => callsMark(database, shop),
    export: (shop: string) => exportCalls(database, shop),
    retentionDays: (shop: string) => retentionDays(database, shop),
    setRetention: (shop: string, was: number, days: number) => setRetention(database, shop, was, days),
  }
}
export type CallsPort = ReturnType<typeof callsPort>
