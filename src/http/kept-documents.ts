import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import type { DocumentsPort } from '../services/documents-port.ts'
import type { AppEnv, ShopPort } from './env.ts'
import { behindKey, type ShopEnv } from './middleware/key.ts'
import { ProblemError } from './problem.ts'
import { BODY_PROBLEMS, INPUT_PROBLEM, json, jsonBody, KEY_PROBLEMS, READ_PROBLEMS } from './schema.ts'

/** A kind of document that a shop keeps under a name: how it is called, what it must be, where it is stored. */
export interface KeptKind<Document extends object> {
  noun: 'overlay' | 'profile'
  tag: string
  schema: z.ZodType<Document>
  entryName: string
  example: string
  bodyExample?: object
  store: (shops: ShopPort) => DocumentsPort<Document>
  /** @throws ProblemError naming every rule that the document breaks */
  check: (c: Context, document: Document) => Promise<void>
}

const capital = (word: string) => word[0]!.toUpperCase() + word.slice(1)

function routesOf<Document extends object>({ noun, tag, schema, entryName, example, bodyExample }: KeptKind<Document>) {
  const scope = `${noun}s` as const
  const EntrySchema = z
    .object({ [noun]: z.string(), sha256: z.string(), updatedAt: z.iso.datetime(), path: z.string() })
    .openapi(entryName)
  const params = z.object({
    name: z
      .string()
      .max(40)
      .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, 'must be kebab-case')
      .openapi({ description: `Name of the ${noun}`, example }),
  })
  const common = { tags: [tag], ...behindKey(scope) }
  const problems = { ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM }
  const path = `/v1/${scope}/{name}` as const
  return {
    put: createRoute({
      ...common,
      method: 'put',
      path,
      operationId: `put${capital(noun)}`,
      summary: `Keeps a shop's ${noun} under its name, checked; the same content again changes nothing`,
      request: { params, ...jsonBody(schema, bodyExample) },
      responses: { 200: json(EntrySchema, 'Kept'), ...KEY_PROBLEMS, ...BODY_PROBLEMS },
    }),
    read: createRoute({
      ...common,
      method: 'get',
      path,
      operationId: `get${capital(noun)}`,
      summary: `A shop's ${noun}`,
      request: { params },
      responses: { 200: json(schema, `The ${noun} as it was kept`), ...problems },
    }),
    list: createRoute({
      ...common,
      method: 'get',
      path: `/v1/${scope}`,
      operationId: `list${capital(scope)}`,
      summary: `A shop's ${scope} by name`,
      responses: {
        200: json(z.object({ items: z.array(EntrySchema) }), 'Names and hashes'),
        ...READ_PROBLEMS,
        ...KEY_PROBLEMS,
      },
    }),
    remove: createRoute({
      ...common,
      method: 'delete',
      path,
      operationId: `delete${capital(noun)}`,
      summary: `Removes a shop's ${noun}`,
      request: { params },
      responses: { 204: { description: 'Removed' }, ...problems },
    }),
  }
}

function refuseOtherName(noun: string, name: string, stated: unknown): void {
  if (stated === name) return
  throw new ProblemError('INPUT_INVALID', `${noun} must be ${name} as in the path, got ${stated}`, [
    {
      pointer: `/${noun}`,
      code: 'NAME_MISMATCH',
      detail: 'the path names another',
      limit: name,
      value: String(stated),
    },
  ])
}

/** The four routes of a kind of kept document: put, read, list, delete, each within the shop of the key. */
export function registerKept<Document extends object>(app: OpenAPIHono<AppEnv>, kind: KeptKind<Document>): void {
  const { noun } = kind
  const routes = routesOf(kind)
  const absent = (name: string) => new ProblemError('NOT_FOUND', `there is no ${noun} ${name} here`)
  const opened = ({ var: { shop, shops } }: Context<ShopEnv>) => ({ shop, store: kind.store(shops) })
  const worded = ({ name, sha256, updatedAt }: { name: string; sha256: string; updatedAt: number }) => ({
    [noun]: name,
    sha256,
    updatedAt: new Date(updatedAt).toISOString(),
    path: `/v1/${noun}s/${name}`,
  })
  app.openapi(routes.put, async (c) => {
    const { shop, store } = opened(c)
    const document = c.req.valid('json') as Document
    const { name } = c.req.valid('param')
    refuseOtherName(noun, name, (document as Record<string, unknown>)[noun])
    await kind.check(c, document)
    return c.json(worded(await store.put(shop, name, document)), 200)
  })
  app.openapi(routes.list, async (c) => {
    const { shop, store } = opened(c)
    return c.json({ items: (await store.list(shop)).map(worded) }, 200)
  })
  app.openapi(routes.read, async (c) => {
    const { shop, store } = opened(c)
    const { name } = c.req.valid('param')
    const document = await store.read(shop, name)
    if (!document) throw absent(name)
    return c.json(document as never, 200)
  })
  app.openapi(routes.remove, async (c) => {
    const { shop, store } = opened(c)
    const { name } = c.req.valid('param')
    if (!(await store.remove(shop, name))) throw absent(name)
    return c.body(null, 204)
  })
}
