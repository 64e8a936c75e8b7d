import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import type { Release } from '../../../ontology/release.ts'
import { codesForConcept, listCodes, listSchemes, readCode, schemeNames } from '../../../services/crosswalks.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { BATCH_NOTE, runBatch } from '../../batch.ts'
import { decodeCursor, encodeCursor } from '../../cursor.ts'
import { releaseInPath } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, INPUT_PROBLEM, json, jsonBody, READ_PROBLEMS } from '../../schema.ts'
import {
  CodePageSchema,
  CodeSchema,
  SchemesSchema,
  TranslateAnswerSchema,
  TranslateRequestSchema,
} from './crosswalk-schema.ts'
import { CursorQuery, cachedFor, LimitQuery, ReleaseParam, SHORT } from './params.ts'

const SchemeParam = ReleaseParam.extend({
  scheme: z.string().max(40).openapi({ description: 'Open standard', example: 'dc-05' }),
})
const read = { method: 'get' as const, tags: ['crosswalks'], middleware: requireAccept('application/json') }
const problems = { ...READ_PROBLEMS, ...INPUT_PROBLEM }

const listRoute = createRoute({
  ...read,
  path: '/v1/ontology/{release}/crosswalks',
  operationId: 'listCrosswalks',
  summary: 'Open standards whose codes lead to concepts of this ontology',
  request: { params: ReleaseParam },
  responses: { 200: json(SchemesSchema, 'Schemes'), ...problems },
})
const codesRoute = createRoute({
  ...read,
  path: '/v1/ontology/{release}/crosswalks/{scheme}',
  operationId: 'listCodes',
  summary: 'Codes of a standard with where each leads',
  request: {
    params: SchemeParam,
    query: z.object({
      trouble: z.enum(['true', 'false']).optional().openapi({ description: 'true: only codes that report a trouble' }),
      cursor: CursorQuery,
      limit: LimitQuery,
    }),
  },
  responses: { 200: json(CodePageSchema, 'One page'), ...problems },
})
const codeRoute = createRoute({
  ...read,
  path: '/v1/ontology/{release}/crosswalks/{scheme}/{code}',
  operationId: 'getCode',
  summary: 'One code: the concepts it leads to, or why there are none; upper and lower case count',
  request: {
    params: SchemeParam.extend({
      code: z.string().max(80).openapi({ description: 'Code of that standard', example: '301' }),
    }),
  },
  responses: { 200: json(CodeSchema, 'The code'), ...problems },
})
const translateRoute = createRoute({
  method: 'post',
  path: '/v1/ontology/{release}/crosswalks/translate',
  operationId: 'translateCodes',
  tags: ['crosswalks'],
  summary: 'Many codes to concepts or concepts to codes at once',
  description: BATCH_NOTE,
  middleware: requireAccept('application/json'),
  request: { params: ReleaseParam, ...jsonBody(TranslateRequestSchema) },
  responses: {
    200: json(TranslateAnswerSchema, 'A value or a problem for each item, in order'),
    ...READ_PROBLEMS,
    ...BODY_PROBLEMS,
  },
})

function unknownScheme(release: Release, scheme: string): ProblemError {
  const limit = schemeNames(release).join(', ')
  return new ProblemError('NOT_FOUND', `scheme must be one of ${limit}, got ${scheme}`)
}

type TranslateItem = { scheme: string; code: string } | { concept: string; scheme?: string | undefined }

const unknownId = (path: string, value: string, what: string) =>
  new DomainError('UNKNOWN_ID', `${path.slice(1)} must be ${what}, got ${value}`, { path, value })

function translate(release: Release, item: TranslateItem) {
  const { version } = release
  if (item.scheme !== undefined && !schemeNames(release).includes(item.scheme))
    throw unknownId('/scheme', item.scheme, `one of ${schemeNames(release).join(', ')}`)
  if ('concept' in item) {
    const { concept, scheme } = item
    if (!release.concepts.has(concept)) throw unknownId('/concept', concept, `an id of release ${version}`)
    return { release: version, concept, codes: codesForConcept(release, concept, scheme) }
  }
  const found = readCode(release, item.scheme, item.code)
  if (!found) throw unknownId('/code', item.code, `a code of ${item.scheme}`)
  const { mappings: concepts, elsewhere, noEquivalent } = found
  const reason = noEquivalent === undefined ? {} : { noEquivalent }
  return { release: version, scheme: item.scheme, code: item.code, concepts, elsewhere, ...reason }
}

export function registerCrosswalks(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(listRoute, async (c) => {
    const { release: name } = c.req.valid('param')
    c.header('Cache-Control', cachedFor(name))
    return c.json(listSchemes(await releaseInPath(shelf, name)), 200)
  })

  app.openapi(codesRoute, async (c) => {
    const { release: name, scheme } = c.req.valid('param')
    const { trouble, cursor, limit } = c.req.valid('query')
    const release = await releaseInPath(shelf, name)
    const filters = JSON.stringify([release.version, scheme, trouble])
    const offset = cursor === undefined ? 0 : decodeCursor(cursor, filters)
    const found = listCodes(release, scheme, trouble === 'true', offset, Number(limit ?? 50))
    if (!found) throw unknownScheme(release, scheme)
    const { nextOffset, ...page } = found
    c.header('Cache-Control', SHORT)
    return c.json({ ...page, ...(nextOffset === undefined ? {} : { next: encodeCursor(nextOffset, filters) }) }, 200)
  })

  app.openapi(codeRoute, async (c) => {
    const { release: name, scheme, code } = c.req.valid('param')
    const release = await releaseInPath(shelf, name)
    if (!schemeNames(release).includes(scheme)) throw unknownScheme(release, scheme)
    const found = readCode(release, scheme, code)
    if (!found) throw new ProblemError('NOT_FOUND', `${scheme} has no code ${code}`)
    c.header('Cache-Control', cachedFor(name))
    return c.json(found, 200)
  })

  app.openapi(translateRoute, async (c) => {
    const release = await releaseInPath(shelf, c.req.valid('param').release)
    return c.json(await runBatch(c, c.req.valid('json').items, (item) => translate(release, item)), 200)
  })
}
