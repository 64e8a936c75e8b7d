import { z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import type { AppEnv } from './env.ts'
import { LIMITS } from './limits.ts'
import { isRefusal, problemBody } from './problem.ts'
import { ProblemSchema } from './schema.ts'

/** Request of a batch: as many items as an answer can bear, each as it would be sent alone. */
export const batchRequest = <T extends z.ZodType>(item: T) =>
  z.strictObject({ items: z.array(item).min(1).max(LIMITS.batchItems) })

/** Answer of a batch: a value or a problem for each item, in the order sent. */
export const batchAnswer = <T extends z.ZodType>(value: T) =>
  z.object({ results: z.array(z.union([z.object({ value }), z.object({ problem: ProblemSchema })])) })

export const BATCH_NOTE =
  'Each item counts as a request. Where fewer are left than there are items, the whole is refused with 429 before any is run, and counts as one.'

/**
 * Runs each item on its own: one that is refused spoils no other. A fault of ours fails the whole.
 * @throws 429 before any is run, where who asks has not as many requests left
 */
export async function runBatch<I, O>(c: Context<AppEnv>, items: readonly I[], run: (item: I) => O | Promise<O>) {
  await c.get('countFurther')?.(items.length - 1)
  const results: ({ value: O } | { problem: ReturnType<typeof problemBody> })[] = []
  for (const item of items) {
    try {
      results.push({ value: await run(item) })
    } catch (error) {
      if (!isRefusal(error)) throw error
      results.push({ problem: problemBody(error, undefined) })
    }
  }
  return { results }
}
