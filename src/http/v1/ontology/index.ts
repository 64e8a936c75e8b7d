import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { currentRelease, publishedReleases, type Release } from '../../../ontology/release.ts'
import { FAMILIES, KINDS } from '../../../ontology/shape.ts'
import { listConcepts, readConcept } from '../../../services/concepts.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { INPUT_PROBLEM, json, READ_PROBLEMS } from '../../schema.ts'
import { type ConceptBody, ConceptPageSchema, ConceptSchema, ManifestSchema, ReleasesSchema } from './schema.ts'

const IMMUTABLE = 'public, max-age=31536000, immutable'
const SHORT = 'public, max-age=300'
const ReleaseParam = z.object({
  release: z.string().max(32).openapi({ description: 'A release or "latest"', example: '0.1.0' }),
})

/** The release a path names. Throws 404: an unknown release never falls back to another. */
export function releaseNamed(name: string): Release {
  const release = currentRelease()
  if (name === 'latest' || name === release.version) return release
  throw new ProblemError('RELEASE_UNKNOWN', `release must be one of ${releaseNames()}, got ${name}`, [
    { pointer: ':release', code: 'RELEASE_UNKNOWN', detail: 'unknown release', limit: releaseNames(), value: name },
  ])
}
const releaseNames = () => [...publishedReleases().map(({ release }) => release), 'latest'].join(', ')

const listReleases = createRoute({
  method: 'get',
  path: '/v1/ontology',
  operationId: 'listReleases',
  tags: ['ontology'],
  summary: 'Releases of the ontology and the current one',
  middleware: requireAccept('application/json'),
  responses: { 200: json(ReleasesSchema, 'Releases, oldest first'), ...READ_PROBLEMS },
})

const getManifest = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}',
  operationId: 'getManifest',
  tags: ['ontology'],
  summary: 'Files of a release with their sizes and SHA-256',
  middleware: requireAccept('application/json'),
  request: { params: ReleaseParam },
  responses: { 200: json(ManifestSchema, 'Manifest'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

const getReleaseFile = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/files/{name}',
  operationId: 'getReleaseFile',
  tags: ['ontology'],
  summary: 'One published file, byte for byte',
  middleware: requireAccept('application/json'),
  request: { params: ReleaseParam.extend({ name: z.string().max(64).openapi({ example: 'ontology.json' }) }) },
  responses: { 200: json(z.looseObject({}), 'The file'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

const listConceptsRoute = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/concepts',
  operationId: 'listConcepts',
  tags: ['ontology'],
  summary: 'Concepts of a release, by kind, family or words',
  middleware: requireAccept('application/json'),
  request: {
    params: ReleaseParam,
    query: z.object({
      kind: z.enum(KINDS).optional(),
      family: z.enum(FAMILIES).optional(),
      q: z.string().max(100).optional(),
      cursor: z.string().max(200).optional(),
      limit: z
        .string()
        .regex(/^(?:[1-9]|[1-9]\d|1\d\d|200)$/, 'must be a whole number from 1 to 200')
        .optional()
        .openapi({ type: 'integer', minimum: 1, maximum: 200, default: 50 }),
    }),
  },
  responses: { 200: json(ConceptPageSchema, 'One page'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

const getConcept = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/concepts/{kind}/{slug}',
  operationId: 'getConcept',
  tags: ['ontology'],
  summary: 'One concept whole',
  middleware: requireAccept('application/json'),
  request: {
    params: ReleaseParam.extend({
      kind: z.enum(KINDS).openapi({ example: 'condition' }),
      slug: z.string().max(100).openapi({ example: 'mains-missing' }),
    }),
  },
  responses: { 200: json(ConceptSchema, 'The concept'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

/** A cursor holds the filters it was made under, so that it cannot be used with others. */
function encodeCursor(after: string, filters: string): string {
  return btoa(JSON.stringify([after, filters]))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')
}
function decodeCursor(cursor: string, filters: string): string {
  try {
    const [after, made] = JSON.parse(atob(cursor.replaceAll('-', '+').replaceAll('_', '/'))) as [unknown, unknown]
    if (typeof after === 'string' && made === filters) return after
  } catch {
    // Anything that does not decode is refused below, as a cursor of other filters is.
  }
  throw new ProblemError('INPUT_INVALID', 'cursor must come from the page before, with the same filters', [
    { pointer: '?cursor', code: 'CURSOR_INVALID', detail: 'not a cursor of this list', value: cursor },
  ])
}

export function registerOntology(app: OpenAPIHono<AppEnv>, ports: Ports): void {
  app.openapi(listReleases, (c) => {
    c.header('Cache-Control', SHORT)
    return c.json({ current: currentRelease().version, releases: publishedReleases() }, 200)
  })

  app.openapi(getManifest, (c) => {
    const { release: name } = c.req.valid('param')
    const release = releaseNamed(name)
    c.header('Cache-Control', name === 'latest' ? SHORT : IMMUTABLE)
    if (name === 'latest') c.header('Content-Location', `/v1/ontology/${release.version}`)
    return c.json(release.manifest, 200)
  })

  app.openapi(getReleaseFile, async (c) => {
    const { release, name } = c.req.valid('param')
    const { version, manifest } = releaseNamed(release)
    const bytes = manifest.files.some((file) => file.name === name) ? await ports.releaseFile(version, name) : undefined
    if (!bytes) throw new ProblemError('NOT_FOUND', `release ${version} has no file ${name}`)
    c.header('Cache-Control', release === 'latest' ? SHORT : IMMUTABLE)
    c.header('Content-Type', 'application/json')
    return c.body(bytes, 200) as never
  })

  app.openapi(listConceptsRoute, (c) => {
    const { cursor, limit, kind, family, q } = c.req.valid('query')
    const release = releaseNamed(c.req.valid('param').release)
    const filters = JSON.stringify([release.version, kind, family, q])
    const { next, ...page } = listConcepts(release, {
      ...(kind === undefined ? {} : { kind }),
      ...(family === undefined ? {} : { family }),
      ...(q === undefined ? {} : { q }),
      ...(cursor === undefined ? {} : { after: decodeCursor(cursor, filters) }),
      limit: Number(limit ?? 50),
    })
    c.header('Cache-Control', SHORT)
    return c.json({ ...page, ...(next === undefined ? {} : { next: encodeCursor(next, filters) }) }, 200)
  })

  app.openapi(getConcept, (c) => {
    const { release: name, kind, slug } = c.req.valid('param')
    const release = releaseNamed(name)
    const concept = readConcept(release, `${kind}/${slug}`)
    if (!concept) throw new ProblemError('NOT_FOUND', `release ${release.version} has no ${kind}/${slug}`)
    c.header('Cache-Control', name === 'latest' ? SHORT : IMMUTABLE)
    return c.json(concept as ConceptBody, 200)
  })
}
