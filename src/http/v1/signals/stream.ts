import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { LINE_SCHEMES } from '../../../domain/signals/line-form.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { streamSignals } from '../../../services/stream-signals.ts'
import { Wording } from '../../../services/texts.ts'
import { releaseInQuery } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { INPUT_PROBLEM, READ_PROBLEMS } from '../../schema.ts'
import { STREAMED_PATH, streamOf } from '../../streamed.ts'

const NDJSON = 'application/x-ndjson'

const route = createRoute({
  method: 'post',
  path: STREAMED_PATH,
  operationId: 'streamSignals',
  tags: ['signals'],
  summary: 'A large log of signals in; a line of JSON for each of its lines out, as they come',
  description: `The body is text, at most ${LIMITS.streamBytes} bytes. Each line of the answer is as in the lines of POST /v1/signals/decode; a log that is too long ends with a line that has a problem.`,
  middleware: requireAccept(NDJSON),
  request: {
    query: z.object({
      scheme: z
        .enum(LINE_SCHEMES)
        .optional()
        .openapi({ description: 'Standard of the lines; each is tried when left out' }),
      strict: z.enum(['true', 'false']).optional().openapi({ description: 'Whether slips of form are refused' }),
      release: z
        .string()
        .max(32)
        .optional()
        .openapi({ description: 'Release of the ontology; the current one when left out' }),
    }),
    body: { content: { 'text/plain': { schema: z.string(), example: '1234181301000006\n1234181302000005\n' } } },
  },
  responses: {
    200: { description: 'One line for each line of the log', content: { [NDJSON]: { schema: z.string() } } },
    ...READ_PROBLEMS,
    ...INPUT_PROBLEM,
  },
})

/** The body as text, up to the limit; a longer one ends in an error. */
async function* piecesOf(body: ReadableStream<Uint8Array> | null): AsyncGenerator<string> {
  if (!body) return
  const decoder = new TextDecoder()
  const reader = body.getReader()
  let size = 0
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    size += read.value.length
    if (size > LIMITS.streamBytes) {
      await reader.cancel()
      throw new ProblemError('BODY_TOO_LARGE', `The body must be at most ${LIMITS.streamBytes} bytes`)
    }
    yield decoder.decode(read.value, { stream: true })
  }
  yield decoder.decode()
}

const endOf = (error: unknown) => {
  if (!(error instanceof ProblemError)) throw error
  return { problem: { code: error.code, message: error.message, limit: LIMITS.streamBytes } }
}

/** Lines of an answer; one that ends in a problem says so in its last line. */
async function* textOf(lines: AsyncGenerator<object>): AsyncGenerator<string> {
  const write = (line: object) => `${JSON.stringify(line)}\n`
  try {
    for await (const line of lines) yield write(line)
  } catch (error) {
    yield write(endOf(error))
  }
}

export function registerSignalStream(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(route, async (c) => {
    const type = c.req.header('Content-Type')?.split(';')[0]
    if (type !== undefined && type !== 'text/plain')
      throw new ProblemError('MEDIA_TYPE_UNSUPPORTED', `Content-Type must be text/plain, got ${type}`)
    const { scheme = 'mixed', strict, release } = c.req.valid('query')
    const chosen = release === undefined ? shelf.current() : await releaseInQuery(shelf, release, '?release')
    const wording = new Wording(chosen, { tag: 'en-US', english: 'en-US' })
    const lines = streamSignals(wording, piecesOf(c.req.raw.body), { scheme, isStrict: strict === 'true' })
    return c.body(streamOf(textOf(lines)), 200, { 'Content-Type': NDJSON }) as never
  })
}
