import { z } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { ProblemError } from './problem.ts'

export const IfMatchHeader = z.object({
  'if-match': z.string().optional().openapi({
    description: 'ETag of the state that the request builds on, as the last answer gave it; * for any',
    example: '"3"',
  }),
})

export const entityTag = (state: string | number) => `"${state}"`
const STRONG = /"[\x21\x23-\x7e]*"/g

/**
 * The entity tags that a write may build on; undefined for "*".
 * @throws 428 without the header
 */
export function ifMatch(c: Context): string[] | undefined {
  const header = c.req.header('If-Match')?.trim()
  if (header === undefined) {
    const detail = 'Send If-Match with the ETag of the state that this builds on'
    const problem = { pointer: 'If-Match', code: 'PRECONDITION_REQUIRED', detail }
    throw new ProblemError('PRECONDITION_REQUIRED', detail, [problem])
  }
  // Weak tags never match here (RFC 9110, 13.1.1), so they are left out.
  return header === '*' ? undefined : (header.replaceAll(/W\/"[^"]*"/g, '').match(STRONG) ?? [])
}

/** Refuses a write that does not build on a state. @throws 428 without the header, 412 when it names another state */
export function requireIfMatch(c: Context, etag: string): void {
  if (ifMatch(c)?.includes(etag) ?? true) return
  refuseMovedOn(c)
}

/** @throws 412 always: what is there is not what the request builds on */
export function refuseMovedOn(c: Context): never {
  const detail = 'It has changed since it was read: read it again and decide anew. Nothing was written'
  const value = (c.req.header('If-Match') ?? '').slice(0, 80)
  throw new ProblemError('PRECONDITION_FAILED', detail, [
    { pointer: 'If-Match', code: 'PRECONDITION_FAILED', detail, value },
  ])
}
