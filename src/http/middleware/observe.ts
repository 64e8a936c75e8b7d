import type { Context, MiddlewareHandler } from 'hono'
import { matchedRoutes } from 'hono/route'
import type { AppEnv, LogLine, Ports } from '../env.ts'

/** Version, trace, parent and flags (W3C Trace Context). */
const TRACE_PARENT = /^[0-9a-f]{2}-(?!0{32})([0-9a-f]{32})-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}$/
const FRAMES = 5

const traceOf = (c: Context) => TRACE_PARENT.exec(c.req.header('traceparent') ?? '')

/** The template of the route that answered; "none" for a path that is not one. */
function templateOf(c: Context): string {
  const own = matchedRoutes(c).findLast(({ path }) => path !== '*' && path !== '/*')
  return own?.path ?? 'none'
}

/** Kind and places of a fault. Its message is left out: that of a failed statement holds what was sent. */
function faultOf(fault: unknown): NonNullable<LogLine['fault']> {
  const { name = 'unknown', code, stack = '' } = (fault ?? {}) as { name?: string; code?: unknown; stack?: string }
  const at = stack.split('\n').flatMap((line) => /^\s*at (.*)$/.exec(line)?.[1] ?? [])
  return { name, ...(typeof code === 'string' ? { code } : {}), at: at.slice(0, FRAMES) }
}

/** Echoes the caller's trace and writes one line a request, where the host keeps a log. */
export function observe({ log }: Ports): MiddlewareHandler<AppEnv> {
  return async (c, next) => {
    const start = performance.now()
    await next()
    const trace = traceOf(c)
    if (trace) c.res.headers.set('traceparent', trace[0])
    if (!log) return
    const fault = c.get('fault')
    log({
      level: fault === undefined ? 'info' : 'error',
      requestId: c.get('requestId'),
      ...(trace ? { traceId: trace[1]! } : {}),
      method: c.req.method,
      route: templateOf(c),
      status: c.res.status,
      ms: Math.round((performance.now() - start) * 10) / 10,
      ...(fault === undefined ? {} : { fault: faultOf(fault) }),
    })
  }
}
