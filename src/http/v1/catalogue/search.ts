import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import type { AppEnv } from '../../env.ts'
import { ProblemError } from '../../problem.ts'
import { json } from '../../schema.ts'
import { common, SearchSchema, SHOP_PROBLEMS } from './schema.ts'

const ATTRIBUTE = /^([a-z][A-Za-z0-9]{0,60}):(.{1,100})$/
const route = createRoute({
  ...common(),
  method: 'get',
  path: '/v1/catalogue/search',
  operationId: 'searchCatalogue',
  summary: 'Items for what somebody types, each with why it is found',
  description:
    'Words may be begun or misspelt; numbers and codes are found exactly or not at all. An exact SKU, GTIN or maker’s number comes first.',
  request: {
    query: z.object({
      q: z.string().min(1).max(200).openapi({ description: 'What somebody types', example: '12 V 7 Ah' }),
      partClass: z.string().max(120).optional().openapi({ description: 'Items of this part class' }),
      inStock: z
        .enum(['true', 'false'])
        .transform((text) => text === 'true')
        .optional()
        .openapi({ description: 'Items that are in stock, or that are not' }),
      attribute: z
        .string()
        .regex(ATTRIBUTE, 'must be a name and a value such as terminal:F1')
        .optional()
        .openapi({ description: 'A value of a facet, such as terminal:F1', example: 'terminal:F1' }),
      limit: z.coerce.number().int().min(1).max(50).default(20).openapi({ description: 'Most hits' }),
    }),
  },
  responses: { 200: json(SearchSchema, 'Hits, counts by class and attribute'), ...SHOP_PROBLEMS },
})

export function registerSearch(app: OpenAPIHono<AppEnv>): void {
  app.openapi(route, async (c) => {
    const { shop, shops } = c.var
    const { q, partClass, inStock, attribute, limit } = c.req.valid('query')
    if (q.trim() === '')
      throw new ProblemError('INPUT_INVALID', 'q must not be empty', [
        { pointer: '?q', code: 'TOO_SMALL', detail: 'empty' },
      ])
    const [, name, value] = ATTRIBUTE.exec(attribute ?? '') ?? []
    const attributes = name === undefined ? {} : { attributes: { [name]: value! } }
    const answer = await shops.catalogue.search(shop, q, { partClass, isInStock: inStock, ...attributes }, limit)
    return c.json(answer as z.infer<typeof SearchSchema>, 200)
  })
}
