import type { Context } from 'hono'
import { ProblemError } from './problem.ts'

/** Refuses a write that does not say which version it replaces (428), or names one that is no longer in force (412). */
export function requireIfMatch(c: Context, etag: string): void {
  const header = c.req.header('If-Match')
  const field = { pointer: 'If-Match', limit: etag }
  if (header === undefined)
    throw new ProblemError('PRECONDITION_REQUIRED', `Send If-Match with the ETag that was read, now ${etag}`, [
      { ...field, code: 'PRECONDITION_REQUIRED', detail: 'header If-Match' },
    ])
  const named = header.split(',').map((tag) => tag.trim())
  if (named.includes('*') || named.includes(etag)) return
  throw new ProblemError('PRECONDITION_FAILED', `It was changed since: now ${etag}, got ${header.slice(0, 80)}`, [
    { ...field, code: 'PRECONDITION_FAILED', detail: 'header If-Match', value: header.slice(0, 80) },
  ])
}
