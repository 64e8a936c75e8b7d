import { z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import type { Release } from '../ontology/release.ts'
import { type ChosenRates, chosenRates } from '../services/learning/chosen-rates.ts'
import type { ReleaseShelf } from '../services/release-shelf.ts'
import type { AppEnv, ShopPort } from './env.ts'
import { requireKey } from './middleware/key.ts'
import { ProblemError } from './problem.ts'

export const RatesFieldSchema = z
  .string()
  .regex(/^(?:published|learned|learned-[0-9a-f]{16})$/, 'must be published, learned, or the id of a kept set')
  .openapi({
    description:
      'Base rates: "published" (the default); with a key that has the scope calls, "learned" for those of the shop as they stand, or the id of a kept set to repeat an answer. The basis says which were used.',
    example: 'published',
  })

/** The rates that a shop's calls taught it, of today; undefined where they teach nothing or the shop does not learn. */
export async function learnedRates(
  { learning }: ShopPort,
  shelf: ReleaseShelf,
  { shop, release }: { shop: string; release: Release },
): Promise<ChosenRates | undefined> {
  return chosenRates(await learning.current(shop, shelf.current()), release)
}

/** The rates that a request asks for; undefined for the published ones. Throws 422 for an id that the shop has not. */
export async function ratesInBody(
  c: Context<AppEnv>,
  shelf: ReleaseShelf,
  { rates, release }: { rates: string | undefined; release: Release },
): Promise<ChosenRates | undefined> {
  if (rates === undefined || rates === 'published') return undefined
  const { shop, shops } = requireKey(c, 'calls')
  if (rates === 'learned') return learnedRates(shops, shelf, { shop, release })
  const kept = await shops.learning.kept(shop, rates)
  if (kept) return chosenRates(kept, release)
  const problem = { pointer: '/rates', code: 'UNKNOWN_ID', detail: 'unknown set of rates', value: rates }
  throw new ProblemError('UNKNOWN_ID', `rates must be a set that the shop keeps, got ${rates}`, [problem])
}
