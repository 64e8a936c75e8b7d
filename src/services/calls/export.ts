import { listHeads, type Place } from '../../store/call-list.ts'
import { readAnswers, readEvents } from '../../store/calls.ts'
import type { Database } from '../../store/database.ts'
import { eventFrom } from './log.ts'

const PAGE = 100

/** Every call of a shop whole, the newest first: where it stands, its log, the answers that were given. */
export async function* exportCalls(database: Database, shop: string) {
  let after: Place | undefined
  for (;;) {
    const heads = await listHeads(database, shop, {}, { after, limit: PAGE })
    for (const head of heads) {
      const events = await readEvents(database, shop, head.callId)
      const answers = await readAnswers(database, shop, head.callId)
      yield {
        head,
        events: events.map((event) => ({ seq: event.seq, ...eventFrom(event) })),
        answers: answers.map(({ seq, body }) => ({ seq, answer: JSON.parse(body) as unknown })),
      }
    }
    const last = heads.at(-1)
    if (!last || heads.length < PAGE) return
    after = [last.openedAt, last.callId]
  }
}
