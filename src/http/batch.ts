import { z } from '@hono/zod-openapi'
import { LIMITS } from './limits.ts'
import { isRefusal, problemBody } from './problem.ts'
import { ProblemSchema } from './schema.ts'

/** Request of a batch: as many items as an answer can bear, each as it would be sent alone. */
export const batchRequest = <T extends z.ZodType>(item: T) =>
  z.strictObject({ items: z.array(item).min(1).max(LIMITS.batchItems) })

/** Answer of a batch: a value or a problem for each item, in the order sent. */
export const batchAnswer = <T extends z.ZodType>(value: T) =>
  z.object({ results: z.array(z.union([z.object({ value }), z.object({ problem: ProblemSchema })])) })

/** Runs each item on its own: one that is refused spoils no other. A fault of ours fails the whole. */
export async function runBatch<I, O>(items: readonly I[], run: (item: I) => O | Promise<O>) {
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
