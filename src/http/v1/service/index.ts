import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { currentRelease, publishedReleases } from '../../../ontology/release.ts'
import { ENGINE_VERSION } from '../../../services/basis.ts'
import { languagesOf } from '../../../services/texts.ts'
import { DEPRECATIONS, DEPRECATIONS_PATH, deprecated } from '../../deprecations.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { KEY_QUOTAS, LIMITS } from '../../limits.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { PROBLEMS, type ProblemCode, ProblemError, problemPath } from '../../problem.ts'
import { AmountSchema, INPUT_PROBLEM, json, READ_PROBLEMS, STORE_PROBLEMS } from '../../schema.ts'

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
    limits: z.record(z.string(), z.number()).openapi({ description: 'Bounds of one request, by name' }),
    quotas: z
      .array(
        z.object({
          name: z.string().openapi({ description: 'As in RateLimit-Policy' }),
          countedBy: z.enum(['address', 'key']),
          requests: z.number().int(),
          window: AmountSchema,
          isExact: z.boolean(),
        }),
      )
      .openapi({ description: 'How much may be asked in a time; each item of a batch counts as a request' }),
  })
  .openapi('Capabilities')
const HealthSchema = z.object({ status: z.literal('ok') }).openapi('Health')
const ReadinessSchema = z
  .object({
    status: z.literal('ok'),
    database: z
      .object({
        schema: z.string().openapi({ description: 'Newest migration', example: '0002_outcomes' }),
        takesWrites: z.literal(true),
      })
      .optional()
      .openapi({ description: 'Absent where no database is bound; then nothing that needs a key is served' }),
  })
  .openapi('Readiness')
const DeprecationsSchema = z
  .object({
    items: z.array(
      z.object({
        path: z.string(),
        since: z.iso.date(),
        sunset: z.iso.date().openapi({ description: 'From this day on it may be gone' }),
        successor: z.string(),
        reason: z.string(),
      }),
    ),
  })
  .openapi('Deprecations')
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
  deprecations: DEPRECATIONS_PATH,
  health: '/livez',
  readiness: '/readyz',
}

const seconds = (value: number) => ({ value, unit: 's' })

/** What may be asked in a time: by key where there are shops, by address where the host counts. */
function quotasOf({ shops, fairUse }: Ports) {
  const byKey = (name: string, requests: number, window: number) => ({
    name,
    countedBy: 'key' as const,
    requests,
    window: seconds(window),
    isExact: true,
  })
  return [
    ...(fairUse
      ? [
          {
            name: 'fair-use',
            countedBy: 'address' as const,
            requests: fairUse.limit,
            window: seconds(fairUse.windowS),
            isExact: false,
          },
        ]
      : []),
    ...(shops ? [byKey('key-minute', KEY_QUOTAS.minute, 60), byKey('key-day', KEY_QUOTAS.day, 86_400)] : []),
  ]
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
        quotas: quotasOf(ports),
      },
      200,
    )
  })
  app.openapi(get('/livez', 'getLiveness', 'The process answers', HealthSchema), (c) =>
    c.json({ status: 'ok' as const }, 200),
  )
  app.openapi(
    createRoute({
      ...get('/healthz', 'getHealth', 'The process answers; ask /livez instead', HealthSchema),
      deprecated: true,
      middleware: [deprecated('/healthz'), requireAccept('application/json')] as const,
    }),
    (c) => c.json({ status: 'ok' as const }, 200),
  )
  app.openapi(
    get(DEPRECATIONS_PATH, 'listDeprecations', 'Paths that still answer and will not for ever', DeprecationsSchema),
    (c) => {
      c.header('Cache-Control', 'public, max-age=300')
      return c.json({ items: [...DEPRECATIONS] }, 200)
    },
  )
  app.openapi(
    createRoute({
      ...get('/readyz', 'getReadiness', 'The service can do its work', ReadinessSchema),
      responses: { 200: json(ReadinessSchema, 'Ready'), ...READ_PROBLEMS, ...STORE_PROBLEMS },
    }),
    async (c) => {
      c.header('Cache-Control', 'no-store')
      const schema = await ports.shops?.readiness()
      const database = schema === undefined ? {} : { database: { schema, takesWrites: true as const } }
      return c.json({ status: 'ok' as const, ...database }, 200)
    },
  )
  app.get('/openapi.json', requireAccept('application/json'), async (c) => {
    c.header('Cache-Control', 'public, max-age=300')
    return c.body(await ports.openApiDocument(), 200, { 'Content-Type': 'application/json' })
  })
  app.openapi(
    createRoute({
      ...get('/problems/{code}', 'getProblemType', 'What a problem means', ProblemPageSchema),
      request: {
        params: z.object({
          code: z.string().max(64).openapi({ description: 'Code of a problem, in lower case', example: 'unknown-id' }),
        }),
      },
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
