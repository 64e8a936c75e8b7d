import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { type ImportState, isRefused, type Refusal } from '../../../services/catalogue/imports.ts'
import { TooManyRowsError } from '../../../services/catalogue/read-part.ts'
import type { Format } from '../../../services/catalogue/records.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { claimOf, IdempotencyHeader, underClaim } from '../../idempotency.ts'
import { LIMITS } from '../../limits.ts'
import { type ProblemCode, ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, CONFLICT_PROBLEM, json, jsonBody } from '../../schema.ts'
import {
  CommitImportSchema,
  common,
  ImportSchema,
  OpenImportSchema,
  PartReportSchema,
  ReportSchema,
  SHOP_PROBLEMS,
} from './schema.ts'

const IdParam = z.object({
  id: z.string().max(40).openapi({ description: 'Id of the import', example: '5f0c7a1e-7d2b-4f37-9a61-2f5f3a0b9c11' }),
})

const openRoute = createRoute({
  ...common(),
  method: 'post',
  path: '/v1/catalogue/imports',
  operationId: 'openCatalogueImport',
  summary: 'Opens an import; nothing of the catalogue changes until it is committed',
  description:
    'With an Idempotency-Key, the same request again answers the import that the first one opened. An import that is left alone for 24 hours is thrown away; at most five may be open.',
  request: {
    headers: IdempotencyHeader,
    ...jsonBody(OpenImportSchema),
  },
  responses: {
    201: json(ImportSchema, 'Open'),
    ...BODY_PROBLEMS,
    ...SHOP_PROBLEMS,
    ...CONFLICT_PROBLEM,
  },
})
const PartParam = IdParam.extend({
  part: z.coerce
    .number()
    .int()
    .min(1)
    .max(LIMITS.importParts)
    .openapi({ description: 'Number of the part', example: 1 }),
})
const textLike = (example: string) => ({ schema: z.string(), example })
const CSV_EXAMPLE =
  'sku,title,part_class,stock,price,currency\nLK-1207-F1,Standby battery 12 V 7 Ah,part-class/vrla-battery-12v,4,18.90,EUR\n'
const NDJSON_EXAMPLE =
  '{"sku":"LK-1207-F1","title":"Standby battery 12 V 7 Ah","partClass":"part-class/vrla-battery-12v","stock":4}\n'
/** JSON-LD is taken but not declared: a declared JSON type would be gathered whole before it is read. */
const FORMATS: Record<string, Format> = {
  'text/csv': 'csv',
  'text/tab-separated-values': 'csv',
  'application/x-ndjson': 'ndjson',
  'application/ld+json': 'products',
}
const putRoute = createRoute({
  ...common(),
  method: 'put',
  path: '/v1/catalogue/imports/{id}/parts/{part}',
  operationId: 'putCatalogueImportPart',
  summary: 'Sends one part of an import; sent again, it takes the place of what it was',
  description: `At most ${LIMITS.importPartBytes} bytes and ${LIMITS.importPartRows} rows, read as they come. CSV with a header of its own (comma, semicolon or tab), NDJSON with one item a line, or JSON-LD (application/ld+json) with a list of schema.org products. UTF-8 only. The answer counts; GET …/report names row, line, column and value.`,
  request: {
    params: PartParam,
    body: {
      required: true,
      content: {
        'text/csv': textLike(CSV_EXAMPLE),
        'text/tab-separated-values': textLike(CSV_EXAMPLE.replaceAll(',', '\t')),
        'application/x-ndjson': textLike(NDJSON_EXAMPLE),
      },
    },
  },
  responses: { 200: json(PartReportSchema, 'Taken in'), ...BODY_PROBLEMS, ...SHOP_PROBLEMS, ...CONFLICT_PROBLEM },
})
const commitRoute = createRoute({
  ...common(),
  method: 'post',
  path: '/v1/catalogue/imports/{id}/commit',
  operationId: 'commitCatalogueImport',
  summary: 'Ends an import: all of it goes into the catalogue at once, or nothing',
  description:
    'Ending it twice is as ending it once. A refused commit leaves the import open: send a part again, or drop it.',
  request: { params: IdParam, ...jsonBody(CommitImportSchema) },
  responses: { 200: json(ImportSchema, 'Done'), ...BODY_PROBLEMS, ...SHOP_PROBLEMS, ...CONFLICT_PROBLEM },
})
const readRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/catalogue/imports/{id}',
  operationId: 'getCatalogueImport',
  summary: 'Where an import stands',
  request: { params: IdParam },
  responses: { 200: json(ImportSchema, 'Its state, parts and counts'), ...SHOP_PROBLEMS },
})
const reportRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/catalogue/imports/{id}/report',
  operationId: 'getCatalogueImportReport',
  summary: 'What an import found, row by row',
  request: { params: IdParam },
  responses: { 200: json(ReportSchema, 'The first findings, and all of them counted by code'), ...SHOP_PROBLEMS },
})
const dropRoute = createRoute({
  ...common(),
  method: 'delete',
  path: '/v1/catalogue/imports/{id}',
  operationId: 'dropCatalogueImport',
  summary: 'Throws an open import away',
  request: { params: IdParam },
  responses: { 204: { description: 'Thrown away' }, ...SHOP_PROBLEMS },
})

const PROBLEM_OF: Record<Refusal['why'], ProblemCode> = {
  absent: 'NOT_FOUND',
  'not-open': 'IMPORT_NOT_OPEN',
  'too-many-open': 'IMPORTS_TOO_MANY',
  'parts-missing': 'IMPORT_INCOMPLETE',
  'has-errors': 'IMPORT_HAS_ERRORS',
  'retires-too-much': 'IMPORT_RETIRES_TOO_MUCH',
}

function detailOf(refusal: Refusal): string {
  if (refusal.why === 'parts-missing') return `parts ${refusal.missing.join(', ')} are missing or still coming in`
  if (refusal.why === 'has-errors')
    return `${refusal.errors} errors: mend the rows of the report and send their part again, or open it as partial`
  if (refusal.why === 'retires-too-much')
    return `it names all but ${refusal.retired} of ${refusal.active} items: more would be retired than replace allows`
  const texts = {
    absent: 'there is no import of this id here',
    'not-open': 'the import has ended or was thrown away',
    'too-many-open': 'end or drop one of the open imports first',
  }
  return texts[refusal.why]
}

function refuse(refusal: Refusal): never {
  const code = PROBLEM_OF[refusal.why]
  throw new ProblemError(code, detailOf(refusal), [{ pointer: ':id', code, detail: detailOf(refusal) }])
}

function worded({ options: _, openedAt, endedAt, ...state }: ImportState) {
  return {
    ...state,
    path: `/v1/catalogue/imports/${state.id}`,
    openedAt: new Date(openedAt).toISOString(),
    ...(endedAt === null ? {} : { endedAt: new Date(endedAt).toISOString() }),
  }
}
const absent = () => refuse({ why: 'absent' })

const tooLarge = (detail: string, limit: number) =>
  new ProblemError('BODY_TOO_LARGE', detail, [{ pointer: '', code: 'BODY_TOO_LARGE', detail, limit }])

/** Runs what takes a part in; more rows than a part may have are as more bytes are. @throws 413 */
async function withinRows<T>(taken: Promise<T>): Promise<T> {
  try {
    return await taken
  } catch (error) {
    if (!(error instanceof TooManyRowsError)) throw error
    throw tooLarge(`A part must have at most ${error.limit} rows: send more parts`, error.limit)
  }
}

/** The body's bytes as they come, up to the limit. */
async function* bytesOf(body: ReadableStream<Uint8Array> | null): AsyncGenerator<Uint8Array> {
  const reader = body?.getReader()
  let size = 0
  for (let read = await reader?.read(); read && !read.done; read = await reader!.read()) {
    size += read.value.length
    if (size > LIMITS.importPartBytes) {
      await reader!.cancel()
      throw tooLarge(`A part must be at most ${LIMITS.importPartBytes} bytes: send more parts`, LIMITS.importPartBytes)
    }
    yield read.value
  }
}

function formatOf(header: string | undefined): Format {
  const type = header?.split(';')[0]?.trim().toLowerCase() ?? ''
  if (Object.hasOwn(FORMATS, type)) return FORMATS[type]!
  const limit = Object.keys(FORMATS).join(', ')
  throw new ProblemError('MEDIA_TYPE_UNSUPPORTED', `Content-Type must be one of ${limit}, got ${type || 'none'}`)
}

export function registerImports(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(openRoute, async (c) => {
    const { shop, shops } = c.var
    const { replace, mode = 'atomic', ...options } = c.req.valid('json')
    const opening = { ...options, mode, ...(replace && { maxRetiredFraction: replace.maxRetiredFraction ?? 0.2 }) }
    const claim = await claimOf(c, opening)
    const opened = await underClaim(() => shops.catalogue.openImport(shop, opening, claim))
    if (isRefused(opened)) return refuse(opened)
    c.header('Location', `/v1/catalogue/imports/${opened.id}`)
    return c.json(worded(opened), 201)
  })
  app.openapi(putRoute, async (c) => {
    const { shop, shops } = c.var
    const { id, part } = c.req.valid('param')
    const format = formatOf(c.req.header('Content-Type'))
    const body = { bytes: bytesOf(c.req.raw.body), format, mostRows: LIMITS.importPartRows }
    const taken = await withinRows(shops.catalogue.putPart(shelf.current(), shop, { importId: id, part }, body))
    if (isRefused(taken)) return refuse(taken)
    const { findings: _, ...report } = taken
    return c.json({ part, ...report }, 200)
  })
  app.openapi(commitRoute, async (c) => {
    const { shop, shops } = c.var
    const ended = await shops.catalogue.commitImport(shop, c.req.valid('param').id, c.req.valid('json').parts)
    return isRefused(ended) ? refuse(ended) : c.json(worded(ended), 200)
  })
  app.openapi(readRoute, async (c) => {
    const { shop, shops } = c.var
    const state = await shops.catalogue.describeImport(shop, c.req.valid('param').id)
    return state ? c.json(worded(state), 200) : absent()
  })
  app.openapi(reportRoute, async (c) => {
    const { shop, shops } = c.var
    const report = await shops.catalogue.reportImport(shop, c.req.valid('param').id)
    return report ? c.json(report, 200) : absent()
  })
  app.openapi(dropRoute, async (c) => {
    const { shop, shops } = c.var
    return (await shops.catalogue.dropImport(shop, c.req.valid('param').id)) ? c.body(null, 204) : absent()
  })
}
