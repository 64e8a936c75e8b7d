import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { answerSignals } from '../../../services/answer-signals.ts'
import { importSignalKey } from '../../../services/decrypt-signal.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { DecodeSignalsAnswerSchema, DecodeSignalsRequestSchema, KEY_HEX } from './schema.ts'
import { registerSignalStream } from './stream.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/signals/decode',
  operationId: 'decodeSignals',
  tags: ['signals'],
  summary: 'Signals of open standards in; events and findings for a diagnosis out',
  description:
    'A computation without side effects. Lines that cannot be read say why; the others are answered all the same.',
  middleware: requireAccept('application/json'),
  request: jsonBody(DecodeSignalsRequestSchema),
  responses: { 200: json(DecodeSignalsAnswerSchema, 'Events, findings, and what led to none'), ...BODY_PROBLEMS },
})

/** The key of a request. A refusal says how long it must be and never what it was. */
function keyOf(keyHex: string): Promise<CryptoKey> {
  if (!KEY_HEX.test(keyHex)) {
    const limit = '32, 48 or 64 hexadecimal digits'
    const detail = `keyHex must be ${limit}`
    throw new ProblemError('INPUT_INVALID', detail, [{ pointer: '/keyHex', code: 'INVALID_FORMAT', detail, limit }])
  }
  const pairs = keyHex.match(/../g) ?? []
  return importSignalKey(Uint8Array.from(pairs, (pair) => Number.parseInt(pair, 16)))
}

export function registerSignals(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerSignalStream(app, shelf)
  app.openapi(route, async (c) => {
    const { text, scheme, strict, keyHex, ...edition } = c.req.valid('json')
    const wording = await wordingFor(c, shelf, edition)
    const key = keyHex === undefined ? {} : { key: await keyOf(keyHex) }
    const limits = { findings: LIMITS.findings, devices: LIMITS.devices }
    return c.json(await answerSignals({ wording, text, scheme, isStrict: strict, limits, ...key }), 200)
  })
}
