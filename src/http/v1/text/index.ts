import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import { interpretText } from '../../../services/interpret-text.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { InterpretTextAnswerSchema, InterpretTextRequestSchema } from './schema.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/text/interpret',
  operationId: 'interpretText',
  tags: ['text'],
  summary: "A caller's own words as findings to confirm",
  description:
    'Suggests and never asserts: each suggestion is put to the caller before it is sent to `POST /v1/diagnose`. A computation without side effects.',
  middleware: requireAccept('application/json'),
  request: jsonBody(InterpretTextRequestSchema),
  responses: { 200: json(InterpretTextAnswerSchema, 'What the words may mean'), ...BODY_PROBLEMS },
})

/** The text within its limit; a refusal tells its length and repeats nothing of it. */
function withinLimit(text: string): string {
  const [limit, value] = [LIMITS.textCharacters, text.length]
  if (value <= limit) return text
  const detail = `text must have at most ${limit} characters, got ${value}`
  throw new ProblemError('INPUT_INVALID', detail, [{ pointer: '/text', code: 'TOO_BIG', detail, limit, value }])
}

export function registerText(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    const text = withinLimit(body.text)
    return c.json(interpretText(await wordingFor(c, shelf, body), text), 200)
  })
}
