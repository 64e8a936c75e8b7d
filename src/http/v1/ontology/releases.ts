import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { gravest } from '../../../ontology/diff.ts'
import { currentRelease, publishedReleases } from '../../../ontology/release.ts'
import { changesBetween } from '../../../services/history.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { releaseInPath, releaseInQuery } from '../../edition.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { negotiate, requireAccept } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { INPUT_PROBLEM, json, READ_PROBLEMS } from '../../schema.ts'
import { cachedFor, ReleaseParam, SHORT } from './params.ts'
import { ChangesSchema, ManifestSchema, ReleasesSchema } from './schema.ts'

const listReleases = createRoute({
  method: 'get',
  path: '/v1/ontology',
  operationId: 'listReleases',
  tags: ['ontology'],
  summary: 'Releases of the ontology and the current one; ask with If-None-Match whether anything changed',
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

const anyText = { schema: z.string() }
const getReleaseFile = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/files/{name}',
  operationId: 'getReleaseFile',
  tags: ['ontology'],
  summary: 'One published file, byte for byte',
  request: {
    params: ReleaseParam.extend({
      name: z.string().max(64).openapi({ description: 'File as the manifest lists it', example: 'ontology.json' }),
    }),
  },
  responses: {
    200: {
      description: 'The file, with its SHA-256 in Repr-Digest',
      content: {
        'application/json': { schema: z.looseObject({}) },
        'application/ld+json': { schema: z.looseObject({}) },
        'application/schema+json': { schema: z.looseObject({}) },
        'text/turtle': anyText,
        'text/csv': anyText,
      },
    },
    ...READ_PROBLEMS,
    ...INPUT_PROBLEM,
  },
})

const getChanges = createRoute({
  method: 'get',
  path: '/v1/ontology/{release}/changes',
  operationId: 'listChanges',
  tags: ['ontology'],
  summary: 'What changed from one release to another, concept by concept, with a class for each change',
  middleware: requireAccept('application/json'),
  request: {
    params: ReleaseParam,
    query: z.object({ since: z.string().max(32).openapi({ example: '0.1.0', description: 'The release you have' }) }),
  },
  responses: { 200: json(ChangesSchema, 'Changes in the order of ids'), ...READ_PROBLEMS, ...INPUT_PROBLEM },
})

/** SHA-256 in hexadecimal as the byte sequence of a Repr-Digest header (RFC 9530). */
const digestOf = (sha256: string) =>
  `sha-256=:${btoa(String.fromCharCode(...sha256.match(/../g)!.map((pair) => Number.parseInt(pair, 16))))}:`

export function registerReleases(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  app.openapi(listReleases, (c) => {
    c.header('Cache-Control', SHORT)
    return c.json({ current: currentRelease().version, releases: publishedReleases() }, 200)
  })

  app.openapi(getManifest, async (c) => {
    const { release: name } = c.req.valid('param')
    const release = await releaseInPath(shelf, name)
    c.header('Cache-Control', cachedFor(name))
    c.header('Content-Location', `/v1/ontology/${release.version}`)
    return c.json(release.manifest, 200)
  })

  app.openapi(getReleaseFile, async (c) => {
    const { release: name, name: file } = c.req.valid('param')
    const { version, manifest } = await releaseInPath(shelf, name)
    const described = manifest.files.find((entry) => entry.name === file)
    if (!described) throw new ProblemError('NOT_FOUND', `release ${version} has no file ${file}`)
    if (negotiate(c.req.header('Accept'), [described.mediaType]) === undefined)
      throw new ProblemError('NOT_ACCEPTABLE', `${file} is ${described.mediaType}, which Accept does not allow`)
    const bytes = await ports.releaseFile(version, file)
    if (!bytes) throw new Error(`release ${version} lists ${file}, but it cannot be read`)
    c.header('Cache-Control', cachedFor(name))
    c.header('Repr-Digest', digestOf(described.sha256))
    c.header('Content-Type', described.mediaType)
    return c.body(bytes, 200) as never
  })

  app.openapi(getChanges, async (c) => {
    const { release: name } = c.req.valid('param')
    const release = await releaseInPath(shelf, name)
    const since = await releaseInQuery(shelf, c.req.valid('query').since, '?since')
    const changes = changesBetween(since, release)
    c.header('Cache-Control', cachedFor(name))
    const worst = gravest(changes.map((change) => change.class))
    return c.json({ since: since.version, release: release.version, class: worst, changes }, 200)
  })
}
