import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { compareAnswers } from '../../../domain/calls/compare.ts'
import type { CallEventBody, EventOf } from '../../../domain/calls/event.ts'
import type { CallState } from '../../../domain/calls/state.ts'
import { predict } from '../../../services/calls/predict.ts'
import { replaySentence } from '../../../services/calls/texts.ts'
import { type DiagnosisAnswer, diagnose } from '../../../services/diagnose.ts'
import { Wording } from '../../../services/texts.ts'
import { releaseInQuery } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { IdempotencyHeader } from '../../idempotency.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { entityTag, IfMatchHeader } from '../../preconditions.ts'
import { ProblemError } from '../../problem.ts'
import { json, jsonBody } from '../../schema.ts'
import { toLimits } from '../diagnose/index.ts'
import { AdviceSchema, ReplaySchema } from './answers.ts'
import { AdviseCallSchema, CloseCallSchema } from './bodies.ts'
import { findingsOf, requireId } from './checked.ts'
import { CallParam } from './fields.ts'
import { ALL_WRITE_PROBLEMS, COMMON, READ_ONE_PROBLEMS, readRoute, writeRoute } from './routes.ts'
import { addTo, callsOf, type Deps, ofCall, present, releaseOf, written } from './shared.ts'

const SEQ = z
  .string()
  .regex(/^[1-9]\d{0,5}$/, 'must be the number of an event')
  .openapi({ description: 'Number of the event that an answer is', type: 'integer', minimum: 1, example: 3 })

const adviseRoute = createRoute({
  ...COMMON,
  method: 'post',
  path: '/v1/calls/{call}/advice',
  operationId: 'adviseCall',
  summary: 'Diagnoses all findings of the call; the answer is kept with its basis',
  description:
    'The answer is that of POST /v1/diagnose over the findings of the call, in the release it is pinned to. Without limits, those of the answer before hold.',
  middleware: requireAccept('application/json'),
  request: { params: CallParam, headers: IfMatchHeader.extend(IdempotencyHeader.shape), ...jsonBody(AdviseCallSchema) },
  responses: { 200: json(AdviceSchema, 'The answer'), ...ALL_WRITE_PROBLEMS },
})
const readAdviceRoute = createRoute({
  ...COMMON,
  method: 'get',
  path: '/v1/calls/{call}/advice/{seq}',
  operationId: 'getCallAdvice',
  summary: 'An answer as it was given',
  middleware: requireAccept('application/json'),
  request: { params: CallParam.extend({ seq: SEQ }) },
  responses: { 200: json(AdviceSchema, 'The answer'), ...READ_ONE_PROBLEMS },
})
const replayRoute = readRoute('/replay', 'replayCall', {
  summary: "What today's engine says to the findings that an answer was given on, against that answer",
  schema: ReplaySchema,
  query: z.object({
    advice: SEQ.optional(),
    release: z.string().max(32).optional().openapi({ description: 'The pinned release when left out' }),
  }),
})
const closeRoute = writeRoute('close', 'closeCall', {
  summary: 'Closes a call with what it was, how that is known, and what cleared it',
  schema: CloseCallSchema,
})

type WireLimits = z.infer<typeof AdviseCallSchema>['limits']

/** Limits as sent, or those of the answer before; a call is always advised as of a moment. */
function limitsOf({ advice }: CallState, sent: WireLimits, now: number): NonNullable<WireLimits> {
  const before = advice.at(-1)?.limits as WireLimits
  const { at: _at, ...kept } = before ?? { who: 'caller' as const, tools: [] }
  const chosen = sent ?? kept
  return { at: new Date(now).toISOString(), ...present(chosen) } as NonNullable<WireLimits>
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
          present({ cause, device, label, shown, word }) as EventOf<'advised'>['causes'][number],
      ),
    checks: answer.nextChecks.map(({ check, device }) => present({ check, device }) as { check: string }),
    remedies: answer.plan.map(({ remedy }) => remedy),
  }
}

/** The part of an answer that two of them are compared by. */
const compared = ({
  stop,
  causes,
  nextChecks,
  plan,
}: Pick<DiagnosisAnswer, 'stop' | 'causes' | 'nextChecks' | 'plan'>) => ({
  stop: stop?.kind ?? null,
  causes,
  checks: nextChecks.map(({ check, device }) => (device === undefined ? check : `${check} ${device}`)),
  remedies: plan.map(({ remedy }) => remedy),
})

const noAdvice = (call: string) => new ProblemError('NOT_FOUND', `call ${call} has no such answer`)

function registerGiving(app: OpenAPIHono<AppEnv>, deps: Deps): void {
  app.openapi(adviseRoute, async (c) => {
    const body = c.req.valid('json')
    const { call } = c.req.valid('param')
    const { callId, state } = await addTo(c, deps, { call, body }, async (given) => {
      const limits = limitsOf(given.state, body.limits, given.now)
      const wording = new Wording(given.release, await deps.shelf.served(given.release, body.language))
      const findings = findingsOf(given.release, given.state)
      const answer = diagnose({ wording, findings, limits: toLimits({ limits }) })
      return { event: advisedEvent(answer, limits), answer }
    })
    const { shop, calls } = await callsOf(c, deps)
    const { seq, at } = state.advice.at(-1)!
    c.header('ETag', entityTag(state.seq))
    const answer = (await calls.answer(shop, callId, seq)) as DiagnosisAnswer
    c.header('Content-Language', answer.language)
    return c.json({ call: callId, seq, at: new Date(at).toISOString(), answer }, 200)
  })
  app.openapi(readAdviceRoute, async (c) => {
    const { shop, calls } = await callsOf(c, deps)
    const { call, seq } = c.req.valid('param')
    return ofCall(c, call, async () => {
      const given = (await calls.read(shop, call)).advice.find((entry) => entry.seq === Number(seq))
      if (!given) throw noAdvice(call)
      const answer = (await calls.answer(shop, call, given.seq)) as DiagnosisAnswer
      c.header('Content-Language', answer.language)
      return c.json({ call, seq: given.seq, at: new Date(given.at).toISOString(), answer }, 200)
    })
  })
}

function registerReplay(app: OpenAPIHono<AppEnv>, deps: Deps): void {
  app.openapi(replayRoute, async (c) => {
    const { shop, calls } = await callsOf(c, deps)
    const { call } = c.req.valid('param')
    const query = c.req.valid('query')
    return ofCall(c, call, async () => {
      const whole = await calls.read(shop, call)
      const given =
        whole.advice.find(({ seq }) => String(seq) === query.advice) ?? (query.advice ? undefined : whole.advice.at(-1))
      if (!given) throw noAdvice(call)
      const release =
        query.release === undefined
          ? await releaseOf(deps, whole)
          : await releaseInQuery(deps.shelf, query.release, '?release')
      const stored = (await calls.answer(shop, call, given.seq)) as DiagnosisAnswer
      const limits = toLimits({ limits: given.limits as WireLimits })
      const wording = new Wording(release, await deps.shelf.served(release, given.language))
      const now = diagnose({ wording, findings: findingsOf(release, await calls.read(shop, call, given.seq)), limits })
      const difference = compareAnswers(compared(stored), compared(now))
      return c.json(
        {
          call,
          seq: given.seq,
          stored: stored.basis,
          now: now.basis,
          isOtherEngine: stored.basis.engine !== now.basis.engine,
          isOtherRelease: stored.basis.sha256 !== now.basis.sha256,
          isOtherRates: stored.basis.rates.id !== now.basis.rates.id,
          sentence: replaySentence(stored.basis, now.basis, difference.isSame),
          ...difference,
        } as z.infer<typeof ReplaySchema>,
        200,
      )
    })
  })
}

function registerClose(app: OpenAPIHono<AppEnv>, deps: Deps): void {
  app.openapi(closeRoute, async (c) => {
    const body = c.req.valid('json')
    const { confirmed = [], remedy, conclusion } = body
    const made = await addTo(c, deps, { call: c.req.valid('param').call, body }, ({ state, release, now }) => {
      confirmed.forEach(({ cause }, index) => requireId(release, 'cause', cause, `/confirmed/${index}/cause`))
      if (remedy !== undefined) requireId(release, 'remedy', remedy, '/remedy')
      const event = present({ kind: 'closed', conclusion, confirmed: confirmed.map(present), remedy }) as CallEventBody
      const limits = toLimits({ limits: limitsOf(state, undefined, now) })
      return { event, predicted: predict(release, findingsOf(release, state), limits) }
    })
    return c.json(written(c, made), 200)
  })
}

export function registerAdvice(app: OpenAPIHono<AppEnv>, deps: Deps): void {
  registerGiving(app, deps)
  registerReplay(app, deps)
  registerClose(app, deps)
}
