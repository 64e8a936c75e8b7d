import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { claimOf, IdempotencyHeader } from '../../idempotency.ts'
import { LIMITS } from '../../limits.ts'
import { ProblemError } from '../../problem.ts'
import { json, jsonBody } from '../../schema.ts'
import { CallSchema } from './answers.ts'
import { CreateCallSchema } from './bodies.ts'
import { ALL_WRITE_PROBLEMS, common } from './routes.ts'
import { CALL_LIMITS, callsOf, ofCall, written } from './shared.ts'

const route = createRoute({
  ...common(),
  method: 'post',
  path: '/v1/calls',
  operationId: 'createCall',
  summary: 'Opens a call, pinned to a release of the ontology',
  description:
    'Needs an Idempotency-Key: the same key and body again answer with the call that was opened first. There is no field for a name, a number or an address of a person, and none is needed.',
  request: { headers: IdempotencyHeader, ...jsonBody(CreateCallSchema) },
  responses: { 201: json(CallSchema, 'The call'), ...ALL_WRITE_PROBLEMS },
})

function refuseTooMany(open: number): void {
  if (open < LIMITS.openCalls) return
  const detail = `a shop must have at most ${LIMITS.openCalls} calls open at once; close some first`
  const problem = { pointer: '', code: 'TOO_MANY_OPEN_CALLS', detail, limit: LIMITS.openCalls, value: open }
  throw new ProblemError('CALL_FULL', detail, [problem])
}

const timeOf = (time: string | undefined) => (time === undefined ? undefined : Date.parse(time))

export function registerCreateCall(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const { shop, calls } = callsOf(c)
    const body = c.req.valid('json')
    const claim = await claimOf(c, body, true)
    const { release } = await wordingFor(c, shelf, given({ release: body.release }))
    refuseTooMany(await calls.countOpen(shop))
    const { siteRef, contactRef, reachBy, callbackDue } = body
    const fields = given({ siteRef, contactRef, reachBy, callbackDue: timeOf(callbackDue) })
    const event = { kind: 'opened' as const, release: release.version, ...fields }
    const opened = await ofCall(c, 'of this key', () => calls.open({ shop, claim, limits: CALL_LIMITS }, event))
    c.header('Location', `/v1/calls/${opened.callId}`)
    return c.json(written(c, opened), 201)
  })
}
