import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { OverlaySchema } from '../../../ontology/overlay.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv, OverlayEntry, Ports } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { requireKey } from '../../middleware/key.ts'
import { layOverOrRefuse, OVERLAY_EXAMPLE } from '../../overlay-in-body.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, INPUT_PROBLEM, json, jsonBody, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'

const NameParam = z.object({
  name: z
    .string()
    .max(40)
    .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, 'must be kebab-case')
    .openapi({ description: 'Name of the overlay, the prefix of its ids', example: 'sunfield' }),
})
const EntrySchema = z
  .object({ overlay: z.string(), sha256: z.string(), updatedAt: z.iso.datetime(), path: z.string() })
  .openapi('StoredOverlay')
const common = {
  tags: ['overlays'],
  security: [{ shopKey: ['overlays'] }],
  middleware: requireAccept('application/json'),
}
const problems = { ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM }

const putRoute = createRoute({
  ...common,
  method: 'put',
  path: '/v1/overlays/{name}',
  operationId: 'putOverlay',
  summary: "Keeps a shop's overlay under its name, checked; the same content again changes nothing",
  request: { params: NameParam, ...jsonBody(OverlaySchema, OVERLAY_EXAMPLE) },
  responses: { 200: json(EntrySchema, 'Kept'), ...KEY_PROBLEMS, ...BODY_PROBLEMS },
})
const readRoute = createRoute({
  ...common,
  method: 'get',
  path: '/v1/overlays/{name}',
  operationId: 'getOverlay',
  summary: "A shop's overlay",
  request: { params: NameParam },
  responses: { 200: json(OverlaySchema, 'The overlay as it was kept'), ...problems },
})
const listRoute = createRoute({
  ...common,
  method: 'get',
  path: '/v1/overlays',
  operationId: 'listOverlays',
  summary: "A shop's overlays by name",
  responses: {
    200: json(z.object({ items: z.array(EntrySchema) }), 'Names and hashes'),
    ...READ_PROBLEMS,
    ...KEY_PROBLEMS,
  },
})
const deleteRoute = createRoute({
  ...common,
  method: 'delete',
  path: '/v1/overlays/{name}',
  operationId: 'deleteOverlay',
  summary: "Removes a shop's overlay",
  request: { params: NameParam },
  responses: { 204: { description: 'Removed' }, ...problems },
})

const worded = ({ name, sha256, updatedAt }: OverlayEntry) => ({
  overlay: name,
  sha256,
  updatedAt: new Date(updatedAt).toISOString(),
  path: `/v1/overlays/${name}`,
})
const absent = (name: string) => new ProblemError('NOT_FOUND', `there is no overlay ${name} here`)

export function registerStoredOverlays(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  app.openapi(putRoute, async (c) => {
    const { shop } = await requireKey(c, ports, 'overlays')
    const overlay = c.req.valid('json')
    const { name } = c.req.valid('param')
    if (overlay.overlay !== name)
      throw new ProblemError('INPUT_INVALID', `overlay must be ${name} as in the path, got ${overlay.overlay}`, [
        {
          pointer: '/overlay',
          code: 'NAME_MISMATCH',
          detail: 'the path names another',
          limit: name,
          value: overlay.overlay,
        },
      ])
    const { release } = await wordingFor(c, shelf, { release: overlay.release })
    await layOverOrRefuse(release, overlay, '')
    return c.json(worded(await ports.shops!.overlays.put(shop, overlay)), 200)
  })
  app.openapi(listRoute, async (c) => {
    const { shop } = await requireKey(c, ports, 'overlays')
    return c.json({ items: (await ports.shops!.overlays.list(shop)).map(worded) }, 200)
  })
  app.openapi(readRoute, async (c) => {
    const { shop } = await requireKey(c, ports, 'overlays')
    const { name } = c.req.valid('param')
    const overlay = await ports.shops!.overlays.read(shop, name)
    if (!overlay) throw absent(name)
    return c.json(overlay, 200)
  })
  app.openapi(deleteRoute, async (c) => {
    const { shop } = await requireKey(c, ports, 'overlays')
    const { name } = c.req.valid('param')
    if (!(await ports.shops!.overlays.remove(shop, name))) throw absent(name)
    return c.body(null, 204)
  })
}
