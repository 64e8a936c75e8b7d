import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { currentRelease, publishedReleases } from '../../../ontology/release.ts'
import { ENGINE_VERSION } from '../../../services/basis.ts'
import { languagesOf } from '../../../services/texts.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { PROBLEMS, type ProblemCode, ProblemError, problemPath } from '../../problem.ts'
import { INPUT_PROBLEM, json, READ_PROBLEMS, UNAVAILABLE_PROBLEM } from '../../schema.ts'

const RootSchema = z
  .object({ name: z.string(), description: z.string(), documents: z.record(z.string(), z.string()) })
  .openapi('Root')
const CapabilitiesSchema = z
  .object({
    engine: z.string(),
    releases: z.array(z.string()),
    current: z.string(),
    languages: z.array(z.object({ language: z.string(), review: z.string() })),
    mediaTypes: z.array(z.string()),
    limits: z.record(z.string(), z.number()),
  })
  .openapi('Capabilities')
const HealthSchema = z.object({ status: z.literal('ok') }).openapi('Health')
const ProblemPageSchema = z
  .object({ code: z.string(), status: z.number().int(), title: z.string() })
  .openapi('ProblemType')

const get = <P extends string, S extends z.ZodType>(path: P, operationId: string, summary: string, schema: S) =>
  createRoute({
    method: 'get',
    path,
    operationId,
    tags: ['service'],
    summary,
    middleware: requireAccept('application/json'),
    responses: { 200: json(schema, summary), ...READ_PROBLEMS },
  })

const DOCUMENTS = {
  capabilities: '/v1/capabilities',
  ontology: '/v1/ontology',
  openapi: '/openapi.json',
  health: '/healthz',
}

export function registerService(app: OpenAPIHono<AppEnv>, ports: Ports): void {
  app.openapi(get('/', 'getRoot', 'What this service is', RootSchema), (c) =>
    c.json(
      {
        name: 'Trouble Atlas',
        description:
          'Diagnoses trouble conditions of intruder-alarm systems: findings in, causes, next check, remedy and part out.',
        documents: DOCUMENTS,
      },
      200,
    ),
  )
  app.openapi(get('/v1/capabilities', 'getCapabilities', 'What this service can do', CapabilitiesSchema), (c) => {
    c.header('Cache-Control', 'public, max-age=300')
    return c.json(
      {
        engine: ENGINE_VERSION,
        releases: publishedReleases().map(({ release }) => release),
        current: currentRelease().version,
        languages: languagesOf(currentRelease()).map((language) => ({
          language,
          review:
            currentRelease().manifest.languages?.find((entry) => entry.language === language)?.review ?? 'reviewed',
        })),
        mediaTypes: [
          'application/json',
          'application/ld+json',
          'application/problem+json',
          'application/x-ndjson',
          'image/svg+xml',
          'text/csv',
          'text/html',
          'text/plain',
          'text/turtle',
        ],
        limits: LIMITS,
      },
      200,
    )
  })
  app.openapi(get('/healthz', 'getHealth', 'The process answers', HealthSchema), (c) =>
    c.json({ status: 'ok' as const }, 200),
  )
  app.openapi(
    createRoute({
      ...get('/readyz', 'getReadiness', 'The service can do its work', HealthSchema),
      responses: { 200: json(HealthSchema, 'Ready'), ...READ_PROBLEMS, ...UNAVAILABLE_PROBLEM },
    }),
    async (c) => {
      if (ports.shops && !(await ports.shops.isReady()))
        throw new ProblemError('UNAVAILABLE', 'The database does not answer')
      return c.json({ status: 'ok' as const }, 200)
    },
  )
  app.get('/openapi.json', requireAccept('application/json'), async (c) => {
    c.header('Cache-Control', 'public, max-age=300')
    return c.body(await ports.openApiDocument(), 200, { 'Content-Type': 'application/json' })
  })
  app.openapi(
    createRoute({
      ...get('/problems/{code}', 'getProblemType', 'What a problem means', ProblemPageSchema),
      request: { params: z.object({ code: z.string().max(64).openapi({ example: 'unknown-id' }) }) },
      responses: { 200: json(ProblemPageSchema, 'The problem'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
    }),
    (c) => {
      const code = c.req.valid('param').code.toUpperCase().replaceAll('-', '_') as ProblemCode
      const entry = Object.hasOwn(PROBLEMS, code) ? PROBLEMS[code] : undefined
      if (!entry) throw new ProblemError('NOT_FOUND', `${problemPath(code)} is not a problem of this service`)
      return c.json({ code, ...entry }, 200)
    },
  )
}
