import { createRoute, type OpenAPIHono } from '@hono/zod-openapi'
import type { Constraint, Item, Requirement } from '../../../domain/parts/types.ts'
import type { Release } from '../../../ontology/release.ts'
import { matchAndWord, withSafety } from '../../../services/match-parts.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv, Ports } from '../../env.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { requireKey } from '../../middleware/key.ts'
import { BODY_PROBLEMS, json, jsonBody, KEY_PROBLEMS } from '../../schema.ts'
import { registerCalculation } from '../calculations/calculation.ts'
import { partClassOf } from './part-class.ts'
import { readPartCalculation } from './read.ts'
import { MatchAnswerSchema, type MatchRequest, MatchRequestSchema } from './schema.ts'

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

/** Optional fields that were not sent are left out, so that the core's exact types hold. */
function defined<T extends object>(value: object): T {
  return Object.fromEntries(Object.entries(value).filter(([, item]) => item !== undefined)) as T
}

function requirementOf(release: Release, body: MatchRequest): Requirement {
  const constraints = body.constraints.map((constraint) => defined<Constraint>({ isSafety: false, ...constraint }))
  return {
    partClass: body.partClass,
    constraints: withSafety(partClassOf(release, body.partClass), constraints),
    quantity: body.quantity,
    adaptersAllowed: body.adaptersAllowed,
  }
}

export function registerParts(app: OpenAPIHono<AppEnv>, ports: Ports, shelf: ReleaseShelf): void {
  registerCalculation(app, shelf, readPartCalculation)
  app.openapi(route, async (c) => {
    const body = c.req.valid('json')
    const wording = await wordingFor(c, shelf, body)
    const requirement = requirementOf(wording.release, body)
    const common = { wording, requirement, limit: body.limit }
    if (body.items !== undefined) {
      const items = body.items.map((item) => defined<Item>(item))
      return c.json(matchAndWord({ ...common, items, searched: 'items' }), 200)
    }
    const { shop } = await requireKey(c, ports, 'catalogue')
    const items = await ports.shops!.candidates(shop, requirement)
    return c.json(matchAndWord({ ...common, items, searched: 'catalogue' }), 200)
  })
}
