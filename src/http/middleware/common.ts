import type { OpenAPIHono } from '@hono/zod-openapi'
import type { MiddlewareHandler } from 'hono'
import { bodyLimit } from 'hono/body-limit'
import { cors } from 'hono/cors'
import { etag, RETAINED_304_HEADERS } from 'hono/etag'
import { methodNotAllowed } from 'hono/method-not-allowed'
import { requestId } from 'hono/request-id'
import { secureHeaders } from 'hono/secure-headers'
import type { AppEnv, Ports } from '../env.ts'
import { LIMITS } from '../limits.ts'
import { ProblemError, problemResponse } from '../problem.ts'
import { allowance, stateQuotas } from './allowance.ts'
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

/** Paths whose body or answer is a stream: nothing is gathered to be measured or hashed there. */
export const STREAMED_PATH = '/v1/signals/stream'
export const IS_STREAMED = /^\/v1\/(?:signals\/stream|catalogue\/export|catalogue\/imports\/[^/]+\/parts\/[^/]+)$/
const unlessStreamed =
  (inner: MiddlewareHandler): MiddlewareHandler =>
  (c, next) =>
    IS_STREAMED.test(c.req.path) ? next() : inner(c, next)

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
  app.use(
    unlessStreamed(
      bodyLimit({
        maxSize: LIMITS.bodyBytes,
        onError: () => {
          const limit = { pointer: '', code: 'BODY_TOO_LARGE', detail: 'body', limit: LIMITS.bodyBytes }
          throw new ProblemError('BODY_TOO_LARGE', `The body must be at most ${LIMITS.bodyBytes} bytes`, [limit])
        },
      }),
    ),
  )
  app.onError((error, c) => problemResponse(c, error))
  app.notFound((c) => problemResponse(c, new ProblemError('NOT_FOUND', `${c.req.path} is not a path of this service`)))
}
