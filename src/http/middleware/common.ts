import type { OpenAPIHono } from '@hono/zod-openapi'
import type { MiddlewareHandler } from 'hono'
import { cors } from 'hono/cors'
import { etag, RETAINED_304_HEADERS } from 'hono/etag'
import { methodNotAllowed } from 'hono/method-not-allowed'
import { requestId } from 'hono/request-id'
import { secureHeaders } from 'hono/secure-headers'
import type { AppEnv, Ports } from '../env.ts'
import { ProblemError, problemResponse } from '../problem.ts'
import { unlessStreamed } from '../streamed.ts'
import { allowance, stateQuotas } from './allowance.ts'
import { limitBody } from './body-limit.ts'
import { isBehindKey } from './key.ts'
import { observe } from './observe.ts'

/** What a browser's script may read beside the few that it always may. */
const EXPOSED = [
  ...['Allow', 'Content-Language', 'Content-Location', 'Deprecation', 'ETag', 'Link', 'Location', 'RateLimit'],
  ...['RateLimit-Policy', 'Repr-Digest', 'Retry-After', 'Sunset', 'traceparent', 'WWW-Authenticate', 'X-Request-Id'],
]
/** What a 304 keeps beside the standard set, so that a browser may still read it and a person may still report it. */
const KEPT = [
  ...['access-control-allow-origin', 'access-control-expose-headers', 'content-language', 'deprecation', 'link'],
  ...['repr-digest', 'sunset', 'x-request-id'],
]

/** Every path weighs Accept, and a refusal is an answer too: a cache must keep them apart. Each field is named once. */
const varyByAccept: MiddlewareHandler = async (c, next) => {
  await next()
  const named = (c.res.headers.get('Vary') ?? '').split(/\s*,\s*/).filter(Boolean)
  c.res.headers.set('Vary', [...new Set([...named, 'Accept'])].join(', '))
}

/** A route behind a key limits the body itself, after the key. */
const limitBodyUnlessKeyed: MiddlewareHandler = (c, next) => (isBehindKey(c) ? next() : limitBody(c, next))

/** What every path has: request id, log, Vary, CORS, security headers, allowance, ETag, one error shape. */
export function applyCommon(app: OpenAPIHono<AppEnv>, ports: Ports): void {
  app.use(requestId())
  app.use(observe(ports))
  app.use(varyByAccept)
  app.use(cors({ origin: '*', exposeHeaders: EXPOSED, maxAge: 86_400 }))
  app.use(secureHeaders({ crossOriginResourcePolicy: 'cross-origin' }))
  app.use(stateQuotas)
  app.use(allowance(ports))
  app.use(
    methodNotAllowed({
      app,
      onMethodNotAllowed: (c, methods) => {
        c.header('Allow', methods.join(', '))
        return problemResponse(c, new ProblemError('METHOD_NOT_ALLOWED', `${c.req.path} offers ${methods.join(', ')}`))
      },
    }),
  )
  app.use(unlessStreamed(etag({ retainedHeaders: [...RETAINED_304_HEADERS, ...KEPT] })))
  app.use(limitBodyUnlessKeyed)
  app.onError((error, c) => problemResponse(c, error))
  app.notFound((c) => problemResponse(c, new ProblemError('NOT_FOUND', `${c.req.path} is not a path of this service`)))
}
