import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { AppEnv } from '../../env.ts'
import { entityTag, IfMatchHeader, refuseMovedOn, requireIfMatch } from '../../preconditions.ts'
import { BODY_PROBLEMS, IF_MATCH_PROBLEMS, json, jsonBody, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'
import { streamOf } from '../../streamed.ts'
import { RetentionSchema } from './bodies.ts'
import { common } from './routes.ts'
import { callsOf, headBody } from './shared.ts'

const NDJSON = 'application/x-ndjson'

const exportRoute = createRoute({
  ...common(NDJSON),
  method: 'get',
  path: '/v1/calls/export',
  operationId: 'exportCalls',
  summary: 'Every call of the shop whole, one to a line: where it stands, its log, the answers that were given',
  responses: {
    200: { description: 'A line of JSON for each call', content: { [NDJSON]: { schema: z.string() } } },
    ...READ_PROBLEMS,
    ...KEY_PROBLEMS,
  },
})
const getSettingsRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/calls/settings',
  operationId: 'getCallSettings',
  summary: 'How long the shop keeps its calls',
  responses: { 200: json(RetentionSchema, 'The settings'), ...READ_PROBLEMS, ...KEY_PROBLEMS },
})
const putSettingsRoute = createRoute({
  ...common(),
  method: 'put',
  path: '/v1/calls/settings',
  operationId: 'putCallSettings',
  summary: 'Sets how many days after its last event a call is erased',
  request: { headers: IfMatchHeader, ...jsonBody(RetentionSchema) },
  responses: {
    200: json(RetentionSchema, 'The settings'),
    ...READ_PROBLEMS,
    ...BODY_PROBLEMS,
    ...KEY_PROBLEMS,
    ...IF_MATCH_PROBLEMS,
  },
})

const tagOf = (days: number) => entityTag(`days-${days}`)

async function* linesOf(entries: ReturnType<Awaited<ReturnType<typeof callsOf>>['calls']['export']>) {
  for await (const { head, events, answers } of entries) {
    const dated = events.map((event) => ({ ...event, at: new Date(event.at).toISOString() }))
    yield `${JSON.stringify({ ...headBody(head), events: dated, answers })}\n`
  }
}

export function registerKeeping(app: OpenAPIHono<AppEnv>): void {
  app.openapi(exportRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    c.header('ETag', entityTag(await calls.mark(shop)))
    return c.body(streamOf(linesOf(calls.export(shop))), 200, { 'Content-Type': NDJSON }) as never
  })
  app.openapi(getSettingsRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const retentionDays = await calls.retentionDays(shop)
    c.header('ETag', tagOf(retentionDays))
    return c.json({ retentionDays }, 200)
  })
  app.openapi(putSettingsRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { retentionDays } = c.req.valid('json')
    const was = await calls.retentionDays(shop)
    requireIfMatch(c, tagOf(was))
    if (!(await calls.setRetention(shop, was, retentionDays))) return refuseMovedOn(c)
    c.header('ETag', tagOf(retentionDays))
    return c.json({ retentionDays }, 200)
  })
}
