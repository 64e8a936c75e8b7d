import { z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { type Claim, KeyReusedError } from '../services/idempotency.ts'
import { sha256Hex } from '../services/sha256.ts'
import { ProblemError } from './problem.ts'

const FORM = /^[\x21-\x7e]{8,128}$/

/** The header as a route declares it; what it must be is checked by `claimOf`. */
export const IdempotencyHeader = z.object({
  'idempotency-key': z.string().optional().openapi({
    description: 'Eight to 128 printable characters of your choice, new for each thing to be made; remembered for 48 h',
    example: '5b1b6a0e-6b0c-4f62-9d4b-1f0b1c2d3e4f',
  }),
})

/**
 * The key of a request with the hash of what it asks; undefined when it bears none.
 * @param content - the body as it was understood, so that spelling and order of its keys do not matter
 * @throws 400 for a key of a wrong form, or a missing one where it is required
 */
export async function claimOf(c: Context, content: unknown, isRequired = false): Promise<Claim | undefined> {
  const key = c.req.header('Idempotency-Key')
  if (key === undefined && !isRequired) return undefined
  if (key === undefined || !FORM.test(key)) {
    const detail = 'Idempotency-Key must be 8 to 128 printable characters without spaces'
    const value = key === undefined ? {} : { value: key.slice(0, 80) }
    const problem = { pointer: 'Idempotency-Key', code: 'IDEMPOTENCY_KEY_INVALID', detail, limit: '8 to 128', ...value }
    throw new ProblemError('IDEMPOTENCY_KEY_INVALID', detail, [problem])
  }
  const path = new URL(c.req.url).pathname
  return { key, requestHash: await sha256Hex(`${c.req.method} ${path}\n${JSON.stringify(content) ?? ''}`) }
}

/** Runs what a claim belongs to; a key that was sent with another request becomes a problem. @throws 422 */
export async function underClaim<T>(run: () => Promise<T>): Promise<T> {
  try {
    return await run()
  } catch (error) {
    if (!(error instanceof KeyReusedError)) throw error
    const detail = 'Idempotency-Key was sent before with another request; take a new one'
    const problem = { pointer: 'Idempotency-Key', code: 'IDEMPOTENCY_KEY_REUSED', detail, value: error.message }
    throw new ProblemError('IDEMPOTENCY_KEY_REUSED', detail, [problem])
  }
}
