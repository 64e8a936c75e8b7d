import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { CallEventBody, EventOf } from '../../../domain/calls/event.ts'
import type { CallState } from '../../../domain/calls/state.ts'
import { given } from '../../../domain/given.ts'
import { predict } from '../../../services/calls/predict.ts'
import { type DiagnosisAnswer, diagnose } from '../../../services/diagnose.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import { learnedRates } from '../../chosen-rates.ts'
import type { AppEnv } from '../../env.ts'
import { IdempotencyHeader } from '../../idempotency.ts'
import { entityTag, IfMatchHeader } from '../../preconditions.ts'
import { ProblemError } from '../../problem.ts'
import { json, jsonBody } from '../../schema.ts'
import { toLimits } from '../diagnose/index.ts'
import { AdviceSchema } from './answers.ts'
import { AdviseCallSchema, CloseCallSchema } from './bodies.ts'
import { findingsOf, requireId } from './checked.ts'
import { CallParam } from './fields.ts'
import { ALL_WRITE_PROBLEMS, common, READ_ONE_PROBLEMS, writeRoute } from './routes.ts'
import { addTo, callsOf, ofCall, written } from './shared.ts'

export const SEQ = z
  .string()
  .regex(/^[1-9]\d{0,5}$/, 'must be the number of an event')
  .openapi({ description: 'Number of the event that an answer is', type: 'integer', minimum: 1, example: 3 })

const adviseRoute = createRoute({
  ...common(),
  method: 'post',
  path: '/v1/calls/{call}/advice',
  operationId: 'adviseCall',
  summary: 'Diagnoses all findings of the call; the answer is kept with its basis',
  description:
    'The answer is that of POST /v1/diagnose over the findings of the call, in the release it is pinned to, on the rates that the shop has learned; a shop that learned nothing, or does not want to, has the published ones. Without limits, those of the answer before hold.',
  request: { params: CallParam, headers: IfMatchHeader.extend(IdempotencyHeader.shape), ...jsonBody(AdviseCallSchema) },
  responses: { 200: json(AdviceSchema, 'The answer'), ...ALL_WRITE_PROBLEMS },
})
const readAdviceRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/calls/{call}/advice/{seq}',
  operationId: 'getCallAdvice',
  summary: 'An answer as it was given',
  request: { params: CallParam.extend({ seq: SEQ }) },
  responses: { 200: json(AdviceSchema, 'The answer'), ...READ_ONE_PROBLEMS },
})
const closeRoute = writeRoute('close', 'closeCall', {
  summary: 'Closes a call with what it was, how that is known, and what cleared it',
  schema: CloseCallSchema,
})

export type WireLimits = z.infer<typeof AdviseCallSchema>['limits']

/** Limits as sent, or those of the answer before; a call is always advised as of a moment. */
function limitsOf({ advice }: CallState, sent: WireLimits, now: number): NonNullable<WireLimits> {
  const before = advice.at(-1)?.limits as WireLimits
  const { at: _at, ...kept } = before ?? { who: 'caller' as const, tools: [] }
  const chosen = sent ?? kept
  return { at: new Date(now).toISOString(), ...given(chosen) } as NonNullable<WireLimits>
}

const CAUSES_KEPT = 5

function advisedEvent(answer: DiagnosisAnswer, limits: object): EventOf<'advised'> {
  return {
    kind: 'advised',
    limits: limits as Record<string, unknown>,
    language: answer.language,
    basis: { ...answer.basis },
    stop: answer.stop?.kind ?? null,
    causes: answer.causes
      .slice(0, CAUSES_KEPT)
      .map(
        ({ cause, device, label, shown, word }) =>
          given({ cause, device, label, shown, word }) as EventOf<'advised'>['causes'][number],
      ),
    checks: answer.nextChecks.map(({ check, device }) => given({ check, device }) as { check: string }),
    remedies: answer.plan.map(({ remedy }) => remedy),
  }
}

export const noAdvice = (call: string) => new ProblemError('NOT_FOUND', `call ${call} has no such answer`)

function registerGiving(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(adviseRoute, async (c) => {
    const body = c.req.valid('json')
    const { call } = c.req.valid('param')
    const { callId, state } = await addTo(c, shelf, { call, body }, async (standing) => {
      const limits = limitsOf(standing.state, body.limits, standing.now)
      const wording = new Wording(standing.release, await shelf.served(standing.release, body.language))
      const findings = findingsOf(standing.release, standing.state)
      const learned = await learnedRates(c.var.shops, shelf, standing)
      const answer = diagnose({ wording, findings, limits: toLimits({ limits }), ...(learned && { learned }) })
      return { event: advisedEvent(answer, limits), answer }
    })
    const { shop, calls } = callsOf(c)
    const { seq, at } = state.advice.at(-1)!
    c.header('ETag', entityTag(state.seq))
    const answer = (await calls.answer(shop, callId, seq)) as DiagnosisAnswer
    c.header('Content-Language', answer.language)
    return c.json({ call: callId, seq, at: new Date(at).toISOString(), answer }, 200)
  })
  app.openapi(readAdviceRoute, async (c) => {
    const { shop, calls } = callsOf(c)
    const { call, seq } = c.req.valid('param')
    return ofCall(c, call, async () => {
      const advised = (await calls.read(shop, call)).advice.find((entry) => entry.seq === Number(seq))
      if (!advised) throw noAdvice(call)
      const answer = (await calls.answer(shop, call, advised.seq)) as DiagnosisAnswer
      c.header('Content-Language', answer.language)
      return c.json({ call, seq: advised.seq, at: new Date(advised.at).toISOString(), answer }, 200)
    })
  })
}

function registerClose(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(closeRoute, async (c) => {
    const body = c.req.valid('json')
    const { confirmed = [], remedy, conclusion } = body
    const made = await addTo(
      c,
      shelf,
      { call: c.req.valid('param').call, body },
      async ({ shop, state, release, now }) => {
        confirmed.forEach(({ cause }, index) => requireId(release, 'cause', cause, `/confirmed/${index}/cause`))
        if (remedy !== undefined) requireId(release, 'remedy', remedy, '/remedy')
        const event = given({
          kind: 'closed',
          conclusion,
          confirmed: confirmed.map((one) => given(one)),
          remedy,
        }) as CallEventBody
        const limits = toLimits({ limits: limitsOf(state, undefined, now) })
        const learned = await learnedRates(c.var.shops, shelf, { shop, release })
        const held = { findings: findingsOf(release, state), limits, rates: learned?.rates }
        return { event, predicted: predict(release, held), rates: learned?.stated }
      },
    )
    return c.json(written(c, made), 200)
  })
}

export function registerAdvice(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerGiving(app, shelf)
  registerClose(app, shelf)
}
