import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { decodePlace, encodePlace } from '../../cursor.ts'
import type { AppEnv } from '../../env.ts'
import { entityTag, IfMatchHeader } from '../../preconditions.ts'
import { GONE_PROBLEM, IF_MATCH_PROBLEMS, INPUT_PROBLEM, json, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'
import { CursorQuery, LimitQuery } from '../ontology/params.ts'
import { CallPageSchema, CallSchema, EventPageSchema } from './answers.ts'
import { CallParam, ContactRefSchema, Id, SiteRefSchema, TimeSchema } from './fields.ts'
import { common, readRoute } from './routes.ts'
import { callBody, callsOf, headBody, isSeenBy, ofCall } from './shared.ts'

const DEFAULT_PAGE = 50

const getRoute = readRoute('', 'getCall', { summary: 'A call as it stands', schema: CallSchema, query: z.object({}) })
const eventsRoute = readRoute('/events', 'listCallEvents', {
  summary: 'The log of a call, in order; only ever added to',
  schema: EventPageSchema,
  query: z.object({ cursor: CursorQuery, limit: LimitQuery }),
})
const listRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/calls',
  operationId: 'listCalls',
  summary: "A shop's calls, the newest first",
  request: {
    query: z.object({
      status: z.enum(['open', 'closed']).optional().openapi({ description: 'Calls in this state' }),
      siteRef: SiteRefSchema.optional(),
      contactRef: ContactRefSchema.optional(),
      due: TimeSchema.optional().openapi({ description: 'Callbacks that are due by then' }),
      condition: Id.optional().openapi({ description: 'A condition that was reported' }),
      cause: Id.optional().openapi({ description: 'A cause that was confirmed' }),
      from: TimeSchema.optional().openapi({ description: 'Opened then or later' }),
      to: TimeSchema.optional().openapi({ description: 'Opened before then' }),
      cursor: CursorQuery,
      limit: LimitQuery,
    }),
  },
  responses: { 200: json(CallPageSchema, 'One page'), ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM },
})
const eraseRoute = createRoute({
  ...common(),
  method: 'delete',
  path: '/v1/calls/{call}',
  operationId: 'eraseCall',
  summary: 'Erases a call with all that was ever said in it; that it was there stays',
  request: { params: CallParam, headers: IfMatchHeader },
  responses: {
    204: { description: 'Erased' },
    ...READ_PROBLEMS,
    ...KEY_PROBLEMS,
    ...INPUT_PROBLEM,
    ...GONE_PROBLEM,
    ...IF_MATCH_PROBLEMS,
  },
})

type EventItems = z.infer<typeof EventPageSchema>['items']
type Query = z.infer<(typeof listRoute)['request']['query']>

/** Filters in one spelling: moments as numbers, so that the same moment is the same filter. */
function filterOf({ status, siteRef, contactRef, due, condition, cause, from, to }: Query) {
  const moment = (time: string | undefined) => (time === undefined ? undefined : Date.parse(time))
  const concepts = [condition, cause].filter((id) => id !== undefined)
  const moments = { dueBy: moment(due), from: moment(from), before: moment(to) }
  return given({ status, siteRef, contactRef, ...moments, concepts })
}

const isPlace = (place: readonly unknown[]): place is [number, string] =>
  place.length === 2 && Number.isSafeInteger(place[0]) && typeof place[1] === 'string'
const isSeq = (place: readonly unknown[]): place is [number] => place.length === 1 && Number.isSafeInteger(place[0])

function registerLists(app: OpenAPIHono<AppEnv>): void {
  app.openapi(listRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const query = c.req.valid('query')
    const filter = filterOf(query)
    const filters = JSON.stringify(['calls', filter])
    const limit = Number(query.limit ?? DEFAULT_PAGE)
    const after = query.cursor === undefined ? undefined : decodePlace(query.cursor, filters, isPlace)
    const found = await calls.list(shop, filter, { after, limit: limit + 1 })
    const heads = found.slice(0, limit)
    const last = heads.at(-1)
    const next = found.length > limit && last ? encodePlace([last.openedAt, last.callId], filters) : undefined
    return c.json({ items: heads.map(headBody), ...given({ next }) }, 200)
  })
  app.openapi(eventsRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { call } = c.req.valid('param')
    const query = c.req.valid('query')
    const filters = JSON.stringify(['events', call])
    const [after] = query.cursor === undefined ? [0] : decodePlace(query.cursor, filters, isSeq)
    return ofCall(c, call, async () => {
      const rest = (await calls.events(shop, call)).filter(({ seq }) => seq > after)
      const items = rest.slice(0, Number(query.limit ?? DEFAULT_PAGE))
      const next = items.length < rest.length ? encodePlace([items.at(-1)!.seq], filters) : undefined
      const worded = items.map((event) => ({ ...event, at: new Date(event.at).toISOString() }))
      return c.json({ items: worded as unknown as EventItems, ...given({ next }) }, 200)
    })
  })
}

export function registerReads(app: OpenAPIHono<AppEnv>): void {
  registerLists(app)
  app.openapi(getRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { call } = c.req.valid('param')
    return ofCall(c, call, async () => {
      const state = await calls.read(shop, call)
      c.header('ETag', entityTag(state.seq))
      return c.json(callBody(call, state), 200)
    })
  })
  app.openapi(eraseRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { call } = c.req.valid('param')
    await ofCall(c, call, () => calls.erase(shop, call, isSeenBy(c)))
    return c.body(null, 204)
  })
}
