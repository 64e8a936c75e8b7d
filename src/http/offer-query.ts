import type { OpenAPIHono, RouteConfig } from '@hono/zod-openapi'
import type { MiddlewareHandler } from 'hono'
import type { AppEnv } from './env.ts'

/** What of a published route decides whether it is a computation. */
type Published = Pick<RouteConfig, 'method' | 'security'>

/** A POST that anybody may send keeps nothing: it computes, and may be asked again. */
export const isComputation = ({ method, security }: Published): boolean =>
  method === 'post' && (security === undefined || security.some((need) => Object.keys(need).length === 0))

/** Methods that a published route answers to. */
export function methodsOf(route: Published): string[] {
  if (route.method === 'get') return ['GET', 'HEAD']
  return isComputation(route) ? ['POST', 'QUERY'] : [route.method.toUpperCase()]
}

export const QUERY_NOTE =
  'Also offered as QUERY (RFC 10008) with the same body and answer: safe, so that a client may repeat it, keep the answer for a while and ask with If-None-Match.'

/** The same body gives the same answer until a release changes. */
const keepForAWhile: MiddlewareHandler = async (c, next) => {
  await next()
  if (c.res.ok && !c.res.headers.has('Cache-Control')) c.res.headers.set('Cache-Control', 'private, max-age=300')
}

/** Offers every computation as QUERY too, by the very handlers of its POST. */
export function offerQuery(app: OpenAPIHono<AppEnv>): void {
  const posts = app.routes.filter(({ method }) => method === 'POST')
  for (const definition of app.openAPIRegistry.definitions) {
    if (definition.type !== 'route' || !isComputation(definition.route)) continue
    const path = definition.route.path.replace(/\{(\w+)\}/g, ':$1')
    const handlers = posts.filter((route) => route.path === path).map(({ handler }) => handler)
    app.on('QUERY', path, keepForAWhile, ...handlers)
  }
}
