import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import type { Item, Requirement } from '../../../domain/parts/types.ts'
import type { PartClass } from '../../../ontology/shape.ts'
import { type MatchInput, matchAndWord } from '../../../services/match-parts.ts'
import { searchesFor } from '../../../services/part-kits.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { Wording } from '../../../services/texts.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv, ShopPort } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { requireKey } from '../../middleware/key.ts'
import { BODY_PROBLEMS, json, jsonBody, KEY_PROBLEMS } from '../../schema.ts'
import { registerCalculation } from '../calculations/calculation.ts'
import { MatchAnswerSchema } from './match-answer.ts'
import { registerPartNeeds } from './needs.ts'
import { readPartCalculation } from './read.ts'
import { defined, diagnosisOf, requirementOf } from './requirement.ts'
import { type MatchRequest, MatchRequestSchema } from './schema.ts'

const route = createRoute({
  method: 'post',
  path: '/v1/parts/match',
  operationId: 'matchParts',
  tags: ['parts'],
  summary: "Which items fit, each with the reason; over the items sent or, with a key, over the shop's catalogue",
  security: [{}, { shopKey: ['catalogue'] }],
  middleware: requireAccept('application/json'),
  request: jsonBody(MatchRequestSchema),
  responses: { 200: json(MatchAnswerSchema, 'Fits, what to confirm, near misses'), ...KEY_PROBLEMS, ...BODY_PROBLEMS },
})

type Wanted = Omit<MatchInput, 'items' | 'searched'>

function wantedOf(wording: Wording, body: MatchRequest): Wanted {
  const { release } = wording
  const { limit, at: on, region } = body
  return {
    wording,
    requirement: requirementOf(release, body, ''),
    limit,
    alongside: (body.alongside ?? []).map((slot, at) => requirementOf(release, slot, `/alongside/${at}`)),
    ...diagnosisOf(release, body),
    ...defined<Pick<Wanted, 'on' | 'region'>>({ on, region }),
  }
}

/** Everything in a shop's catalogue that the answer may speak of, each item once. */
async function candidatesOf(shops: ShopPort, shop: string, wanted: Wanted): Promise<Item[]> {
  const partClass = wanted.wording.concept<PartClass>(wanted.requirement.partClass)
  const searches: Requirement[] = searchesFor(partClass, wanted.requirement, wanted.alongside)
  const found = await Promise.all(searches.map((search) => shops.candidates(shop, search)))
  return [...new Map(found.flat().map((item) => [item.sku, item])).values()]
}

export function registerParts(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerPartNeeds(app, shelf)
  registerCalculation(app, shelf, readPartCalculation)
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    const wording = await wordingFor(c, shelf, body)
    const wanted = wantedOf(wording, body)
    if (body.items !== undefined) {
      const items = body.items.map((item) => defined<Item>(item))
      return c.json(matchAndWord({ ...wanted, items, searched: 'items' }), 200)
    }
    const { shop, shops } = requireKey(c, 'catalogue')
    const items = await candidatesOf(shops, shop, wanted)
    // What is in stock is sold today unless another day is named.
    const { on = shops.today() } = wanted
    return c.json(matchAndWord({ ...wanted, on, items, searched: 'catalogue' }), 200)
  })
}
