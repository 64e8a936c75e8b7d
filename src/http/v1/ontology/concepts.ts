import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import type { Kind } from '../../../ontology/shape.ts'
import { type ConceptFilter, lastReleaseWith, listConcepts } from '../../../services/concepts.ts'
import { changesBetween } from '../../../services/history.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { Wording } from '../../../services/texts.ts'
import { wishedLanguage } from '../../accept-language.ts'
import { decodeCursor, encodeCursor } from '../../cursor.ts'
import { releaseInPath, releaseInQuery } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { INPUT_PROBLEM, json, READ_PROBLEMS } from '../../schema.ts'
import { FORM_TYPES, respondConcept, splitSuffix } from './concept-response.ts'
import {
  CursorQuery,
  cachedFor,
  FamilyParam,
  KindParam,
  LanguageQuery,
  LimitQuery,
  ReleaseParam,
  SHORT,
} from './params.ts'
import { ConceptPageSchema, ConceptSchema } from './schema.ts'

const NATURES = ['fault', 'tamper', 'masked', 'disabled', 'state'] as const
const STATUSES = ['draft', 'active', 'deprecated'] as const

const listRoute = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/concepts',
  operationId: 'listConcepts',
  tags: ['ontology'],
  summary: 'Concepts of a release, by kind, family, words or code of a standard',
  middleware: requireAccept('application/json'),
  request: {
    params: ReleaseParam,
    query: z.object({
      kind: KindParam.optional(),
      family: FamilyParam.optional(),
      nature: z.enum(NATURES).optional().openapi({ description: 'Nature of a condition' }),
      status: z.enum(STATUSES).optional().openapi({ description: 'Stage of its life' }),
      q: z
        .string()
        .min(1)
        .max(100)
        .optional()
        .openapi({ description: 'Words in any language served, typing errors forgiven; or a code, exactly' }),
      changedSince: z.string().max(32).optional().openapi({ description: 'Only what changed since this release' }),
      language: LanguageQuery,
      cursor: CursorQuery,
      limit: LimitQuery,
    }),
  },
  responses: { 200: json(ConceptPageSchema, 'One page'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

const forms = { schema: z.string() }
const readResponses = {
  200: {
    description: 'The concept in the form asked for',
    content: {
      'application/json': { schema: ConceptSchema },
      'application/ld+json': { schema: z.looseObject({}) },
      'text/turtle': forms,
      'text/html': forms,
    },
  },
  ...READ_PROBLEMS,
  ...INPUT_PROBLEM,
}
const SlugParam = z
  .string()
  .max(120)
  .openapi({ description: 'Slug; a suffix .json, .jsonld, .ttl or .html asks for that form', example: 'mains-missing' })

const readRoute = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/concepts/{kind}/{slug}',
  operationId: 'getConcept',
  tags: ['ontology'],
  summary: 'One concept whole: JSON, JSON-LD, Turtle or a page for people',
  middleware: requireAccept(...FORM_TYPES),
  request: {
    params: ReleaseParam.extend({ kind: KindParam, slug: SlugParam }),
    query: z.object({ language: LanguageQuery }),
  },
  responses: readResponses,
})

const resolveRoute = createRoute({
  method: 'get',
  path: '/id/{kind}/{slug}',
  operationId: 'resolveId',
  tags: ['ontology'],
  summary: 'Every id that was ever released, as the newest release that holds it describes it',
  middleware: requireAccept(...FORM_TYPES),
  request: { params: z.object({ kind: KindParam, slug: SlugParam }), query: z.object({ language: LanguageQuery }) },
  responses: readResponses,
})

type Query = {
  q?: string | undefined
  kind?: Kind | undefined
  family?: string | undefined
  nature?: string | undefined
  status?: string | undefined
}
/** Filters that were sent; the rest is left out, so that the service's exact types hold. */
function filtersOf({ q, kind, family, nature, status }: Query): Omit<ConceptFilter, 'offset' | 'limit'> {
  return given({ q, kind, family, nature, status })
}

export function registerConcepts(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(listRoute, async (c) => {
    const query = c.req.valid('query')
    const { release: name } = c.req.valid('param')
    const release = await releaseInPath(shelf, name)
    const served = await shelf.served(release, wishedLanguage(c, query.language))
    const since =
      query.changedSince === undefined ? undefined : await releaseInQuery(shelf, query.changedSince, '?changedSince')
    const filters = JSON.stringify([release.version, served.tag, filtersOf(query), since?.version])
    const { nextOffset, ...page } = await listConcepts(shelf, new Wording(release, served), {
      ...filtersOf(query),
      ...(since && { among: new Set(changesBetween(since, release).map(({ id }) => id)) }),
      offset: query.cursor === undefined ? 0 : decodeCursor(query.cursor, filters),
      limit: Number(query.limit ?? 50),
    })
    c.header('Cache-Control', SHORT)
    c.header('Content-Language', served.tag)
    return c.json({ ...page, ...(nextOffset === undefined ? {} : { next: encodeCursor(nextOffset, filters) }) }, 200)
  })

  app.openapi(readRoute, async (c) => {
    const { release: name, kind, slug: written } = c.req.valid('param')
    const release = await releaseInPath(shelf, name)
    const { slug, suffix } = splitSuffix(written)
    c.header('Cache-Control', cachedFor(name))
    const asked = { id: `${kind}/${slug}`, suffix, language: c.req.valid('query').language }
    return (await respondConcept(c, shelf, release, asked)) as never
  })

  app.openapi(resolveRoute, async (c) => {
    const { kind, slug: written } = c.req.valid('param')
    const { slug, suffix } = splitSuffix(written)
    const id = `${kind}/${slug}`
    const release = await lastReleaseWith(shelf, id)
    if (!release) throw new ProblemError('NOT_FOUND', `${id} was never released`)
    c.header('Cache-Control', SHORT)
    c.header('Content-Location', `/v1/ontology/${release.version}/concepts/${id}`)
    return (await respondConcept(c, shelf, release, { id, suffix, language: c.req.valid('query').language })) as never
  })
}
