import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { wordSettings } from '../../../services/learning/word-rates.ts'
import type { StoredSettings } from '../../../services/learning-port.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { behindKey } from '../../middleware/key.ts'
import { entityTag, IfMatchHeader, refuseMovedOn, requireIfMatch } from '../../preconditions.ts'
import { ProblemError } from '../../problem.ts'
import { BODY_PROBLEMS, IF_MATCH_PROBLEMS, json, jsonBody, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'
import { RateSettingsSchema } from './schema.ts'

const common = {
  path: '/v1/rates/settings',
  tags: ['rates'],
  ...behindKey('calls'),
}
const ETAG_HEADER = z.object({
  ETag: z.string().openapi({ description: 'Send it as If-Match to replace the settings' }),
})
const answer = (description: string) => ({ ...json(RateSettingsSchema, description), headers: ETAG_HEADER })
const readRoute = createRoute({
  ...common,
  method: 'get',
  operationId: 'getRateSettings',
  summary: 'Whether this shop learns from its calls, shares counts, and from when on they count',
  responses: { 200: answer('The settings'), ...READ_PROBLEMS, ...KEY_PROBLEMS },
})
const putRoute = createRoute({
  ...common,
  method: 'put',
  operationId: 'putRateSettings',
  summary: 'Replaces the settings of learning',
  description:
    'A reset is `countsFrom` set to now: older outcomes stay with their calls and no longer count. Consent to pooling is yes only when it is sent as true.',
  request: {
    ...jsonBody(RateSettingsSchema),
    headers: IfMatchHeader,
  },
  responses: { 200: answer('In force from now on'), ...KEY_PROBLEMS, ...BODY_PROBLEMS, ...IF_MATCH_PROBLEMS },
})

const etagOf = ({ version }: StoredSettings) => entityTag(`settings-${version}`)

function checkMoment(countsFrom: string | null, now: number): number | null {
  if (countsFrom === null) return null
  const moment = Date.parse(countsFrom)
  if (moment <= now) return moment
  const limit = new Date(now).toISOString()
  const detail = `countsFrom must not be in the future, got ${countsFrom}`
  throw new ProblemError('INPUT_INVALID', detail, [
    { pointer: '/countsFrom', code: 'IN_THE_FUTURE', detail, limit, value: countsFrom },
  ])
}

export function registerRateSettings(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  app.openapi(readRoute, async (c) => {
    const { shop, shops } = c.var
    const settings = await shops.learning.settings(shop)
    c.header('ETag', etagOf(settings))
    return c.json(wordSettings(settings), 200)
  })
  app.openapi(putRoute, async (c) => {
    const { shop, shops } = c.var
    const { learning } = shops
    const before = await learning.settings(shop)
    requireIfMatch(c, etagOf(before))
    const { countsFrom, ...rest } = c.req.valid('json')
    const next = { ...rest, countsFrom: checkMoment(countsFrom, learning.now()), version: before.version + 1 }
    if (!(await learning.replaceSettings(shop, next, shelf.current()))) return refuseMovedOn(c)
    c.header('ETag', etagOf(next))
    return c.json(wordSettings(next), 200)
  })
}
