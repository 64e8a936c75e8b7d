import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { wordKept, wordRates } from '../../../services/learning/word-rates.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { wishedLanguage } from '../../accept-language.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { behindKey } from '../../middleware/key.ts'
import { ProblemError } from '../../problem.ts'
import { INPUT_PROBLEM, json, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'
import { LanguageQuery } from '../ontology/params.ts'
import { KeptSetSchema, RatesAnswerSchema } from './schema.ts'
import { registerRateSettings } from './settings.ts'

const common = {
  method: 'get' as const,
  tags: ['rates'],
  ...behindKey('calls'),
}
const problems = { ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM }
const ratesRoute = createRoute({
  ...common,
  path: '/v1/rates',
  operationId: 'getRates',
  summary: "What this shop's outcomes taught: learned against published rates, calibration, and what was not counted",
  description: [
    'A rate is the probability that a cause is there in a call, before anything of it is known. Only causes confirmed by a check, by a technician, or by a remedy that removes them and cleared the trouble are counted. Calls whose causes are unknown hold a rate where it was before; they are neither left out, which would inflate what is easy to confirm, nor counted as free of the cause.',
    'With consent the published rate is first moved by what other consenting shops found: at least five shops with at least twenty known calls each, none more than a quarter, and only causes that at least three others confirmed. Own counts are taken out of it. From it can be inferred: rates of all others together, to two digits. It cannot be read how many calls or which causes any shop has; who sees it before and after one shop came or left, and knows which, sees in what direction rates moved.',
    'A cause that was there and that nobody found counts as absent, so a learned rate is that of causes found.',
  ].join('\n\n'),
  request: {
    query: z.object({
      language: LanguageQuery,
      causes: z
        .enum(['seen', 'all'])
        .default('seen')
        .openapi({ description: 'seen: those that were confirmed or claimed, or that the pool speaks of' }),
    }),
  },
  responses: { 200: json(RatesAnswerSchema, 'Counts, rates and calibration up to this moment'), ...problems },
})
const keptRoute = createRoute({
  ...common,
  path: '/v1/rates/{id}',
  operationId: 'getKeptRates',
  summary: 'A set of rates that an answer rested on, as it was kept',
  request: {
    params: z.object({
      id: z
        .string()
        .regex(/^learned-[0-9a-f]{16}$/, 'must be learned- and sixteen hexadecimal digits')
        .openapi({ description: 'Id of the set', example: 'learned-0123456789abcdef' }),
    }),
    query: z.object({ language: LanguageQuery }),
  },
  responses: { 200: json(KeptSetSchema, 'The set, and the rates that follow from it'), ...problems },
})

export function registerRates(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  registerRateSettings(app, shelf)
  app.openapi(ratesRoute, async (c) => {
    const { shop, shops } = c.var
    const { language, causes } = c.req.valid('query')
    const wording = await wordingFor(c, shelf, { language: wishedLanguage(c, language) })
    const { learning } = shops
    const settings = await learning.settings(shop)
    const kept = await learning.fresh(shop, wording.release)
    const calibration = await learning.calibration(shop, wording.release, settings.countsFrom)
    return c.json(wordRates(wording, { kept, settings, calibration, isAll: causes === 'all' }), 200)
  })
  app.openapi(keptRoute, async (c) => {
    const { shop, shops } = c.var
    const { id } = c.req.valid('param')
    const wording = await wordingFor(c, shelf, { language: wishedLanguage(c, c.req.valid('query').language) })
    const kept = await shops.learning.kept(shop, id)
    if (!kept) throw new ProblemError('NOT_FOUND', `there is no set of rates ${id} here`)
    return c.json(wordKept(kept, wording), 200)
  })
}
