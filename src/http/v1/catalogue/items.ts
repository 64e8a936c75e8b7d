import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { readGtin } from '../../../domain/parts/gtin.ts'
import type { ExportFormat } from '../../../services/catalogue/export.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { decodePlace, encodePlace } from '../../cursor.ts'
import type { AppEnv } from '../../env.ts'
import { negotiate } from '../../middleware/accept.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, json, jsonBody } from '../../schema.ts'
import { streamOf } from '../../streamed.ts'
import { common, FILTER, FindingSchema, PutItemSchema, SHOP_PROBLEMS, StoredItemSchema } from './schema.ts'

const SkuParam = z.object({
  sku: z.string().min(1).max(80).openapi({ description: "The shop's own number of the item", example: 'LK-1207-F1' }),
})
/** A cursor holds a SKU and the filters, in letters of up to three bytes each. */
const LONGEST_CURSOR = 4000
const PageQuery = z.object({
  ...FILTER,
  cursor: z.string().max(LONGEST_CURSOR).optional().openapi({ description: '`next` of the page before' }),
  limit: z.coerce.number().int().min(1).max(200).default(50).openapi({ description: 'Most items of the page' }),
})

const listRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/catalogue/items',
  operationId: 'listCatalogueItems',
  summary: "A shop's items by SKU, a page at a time",
  request: { query: PageQuery },
  responses: {
    200: json(z.object({ items: z.array(StoredItemSchema), next: z.string().optional() }), 'A page'),
    ...SHOP_PROBLEMS,
  },
})
const readRoute = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/catalogue/items/{sku}',
  operationId: 'getCatalogueItem',
  summary: 'One item of the shop, retired or not',
  request: { params: SkuParam },
  responses: { 200: json(StoredItemSchema, 'The item'), ...SHOP_PROBLEMS },
})
const putRoute = createRoute({
  ...common(),
  method: 'put',
  path: '/v1/catalogue/items/{sku}',
  operationId: 'putCatalogueItem',
  summary: 'Puts one item, new or in the place of what it was; the same content again changes nothing',
  request: { params: SkuParam, ...jsonBody(PutItemSchema) },
  responses: {
    200: json(StoredItemSchema.extend({ warnings: z.array(FindingSchema) }), 'Kept'),
    ...BODY_PROBLEMS,
    ...SHOP_PROBLEMS,
  },
})
const deleteRoute = createRoute({
  ...common(),
  method: 'delete',
  path: '/v1/catalogue/items/{sku}',
  operationId: 'deleteCatalogueItem',
  summary: 'Removes an item for good',
  request: { params: SkuParam },
  responses: { 204: { description: 'Removed' }, ...SHOP_PROBLEMS },
})
const FORMATS: ExportFormat[] = ['text/csv', 'application/x-ndjson', 'application/ld+json']
const exportRoute = createRoute({
  ...common(...FORMATS),
  method: 'get',
  path: '/v1/catalogue/export',
  operationId: 'exportCatalogue',
  summary: "The shop's catalogue as a stream of CSV, NDJSON or schema.org products, by Accept",
  description:
    'What comes out goes back in unchanged as a part of an import. In CSV, a cell that a spreadsheet would run as a formula begins with an apostrophe, which the import takes away.',
  request: { query: z.object(FILTER) },
  responses: {
    200: {
      description: 'Items in the order of their SKUs',
      content: Object.fromEntries(FORMATS.map((format) => [format, { schema: z.string() }])),
    },
    ...SHOP_PROBLEMS,
  },
})

type Filter = z.infer<z.ZodObject<typeof FILTER>>
function filterOf({ partClass, inStock, brand, gtin, retired }: Filter) {
  const gtin14 = gtin === undefined ? undefined : readGtin(gtin).gtin14
  if (gtin !== undefined && gtin14 === undefined)
    throw new ProblemError('INPUT_INVALID', 'gtin must be a GTIN with a check digit that fits', [
      { pointer: '?gtin', code: readGtin(gtin).code ?? 'GTIN_LENGTH', detail: 'no GTIN', value: gtin },
    ])
  return { partClass, isInStock: inStock, brand, gtin14, isRetired: retired }
}

const absent = (sku: string) => new ProblemError('NOT_FOUND', `there is no item ${sku} here`)

interface Stored {
  item: { sku: string }
  updatedAt: number
  isRetired: boolean
}
/** What the schema promises of an item: no more than a shop states. */
const worded = ({ item, updatedAt, isRetired }: Stored) => ({
  item: item as z.infer<typeof StoredItemSchema>['item'],
  updatedAt: new Date(updatedAt).toISOString(),
  isRetired,
  path: `/v1/catalogue/items/${encodeURIComponent(item.sku)}`,
})

const isSku = (place: readonly unknown[]): place is [string] => place.length === 1 && typeof place[0] === 'string'

export function registerItems(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(listRoute, async (c) => {
    const { shop, shops } = c.var
    const { cursor, limit, ...query } = c.req.valid('query')
    const filter = filterOf(query)
    const made = JSON.stringify(filter)
    const after = cursor === undefined ? '' : decodePlace(cursor, made, isSku)[0]
    const items = await shops.catalogue.items.list(shop, filter, after, limit + 1)
    const page = items.slice(0, limit)
    const next = items.length > limit ? { next: encodePlace([page.at(-1)!.item.sku], made) } : {}
    return c.json({ items: page.map(worded), ...next }, 200)
  })
  app.openapi(readRoute, async (c) => {
    const { shop, shops } = c.var
    const { sku } = c.req.valid('param')
    const stored = await shops.catalogue.items.read(shop, sku)
    if (!stored) throw absent(sku)
    return c.json(worded(stored), 200)
  })
  app.openapi(putRoute, async (c) => {
    const { shop, shops } = c.var
    const { sku } = c.req.valid('param')
    const body = c.req.valid('json')
    if (body.sku !== undefined && body.sku !== sku)
      throw new ProblemError('INPUT_INVALID', `sku must be ${sku} as in the path, got ${body.sku}`, [
        { pointer: '/sku', code: 'NAME_MISMATCH', detail: 'the path names another', limit: sku, value: body.sku },
      ])
    const put = await shops.catalogue.items.put(shelf.current(), shop, { ...body, sku })
    if ('errors' in put) {
      const errors = put.errors.map(({ column, code, message, value }) => ({
        pointer: column,
        code,
        detail: message,
        ...(value === undefined ? {} : { value: value.slice(0, 80) }),
      }))
      throw new ProblemError('INPUT_INVALID', `${errors[0]!.pointer} ${errors[0]!.detail}`, errors)
    }
    return c.json({ ...worded(put.stored), warnings: put.warnings }, 200)
  })
  app.openapi(deleteRoute, async (c) => {
    const { shop, shops } = c.var
    const { sku } = c.req.valid('param')
    if (!(await shops.catalogue.items.remove(shop, sku))) throw absent(sku)
    return c.body(null, 204)
  })
  app.openapi(exportRoute, async (c) => {
    const { shop, shops } = c.var
    const format = negotiate(c.req.header('Accept'), FORMATS) as ExportFormat
    const pieces = shops.catalogue.export(shelf.current(), shop, format, filterOf(c.req.valid('query')))
    return c.body(streamOf(pieces), 200, {
      'Content-Type': `${format}${format === 'text/csv' ? '; charset=utf-8' : ''}`,
    }) as never
  })
}
