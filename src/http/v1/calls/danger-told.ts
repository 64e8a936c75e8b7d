import { createMiddleware } from 'hono/factory'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import type { AppEnv } from '../../env.ts'
import { answerToSigns } from '../diagnose/danger-anyway.ts'

/** What of a body may be a sign of danger: its findings, or the answer that a step records. */
const saidIn = (body: unknown): unknown[] => {
  const findings = (body as { findings?: unknown } | null | undefined)?.findings
  return Array.isArray(findings) ? findings : [body]
}

/**
 * A write to a call that is refused is not kept; what a sign of danger in it calls for is said beside the problem. Of a body
 * that was refused unread, such as that of a request without a key, nothing is read here either.
 */
export const tellDanger = (shelf: ReleaseShelf) =>
  createMiddleware<AppEnv>(async (c, next) => {
    await next()
    const isRead = Object.keys(c.req.bodyCache).length > 0
    if (c.error === undefined || c.req.method !== 'POST' || !isRead) return
    const body: unknown = await c.req.json().catch(() => undefined)
    const answer = await answerToSigns(shelf, { findings: saidIn(body) })
    if (!answer?.stop) return
    const { reason, acts } = answer.stop
    const problem = (await c.res.json()) as object
    c.res = new Response(JSON.stringify({ ...problem, danger: { reason, acts } }), c.res)
  })
