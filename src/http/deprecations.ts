import type { MiddlewareHandler } from 'hono'

/** A published path that still answers and will not for ever. */
export interface Deprecation {
  path: string
  /** Days of UTC. */
  since: string
  sunset: string
  successor: string
  reason: string
}

/** Where deprecations are explained. */
export const DEPRECATIONS_PATH = '/v1/deprecations'

export const DEPRECATIONS: readonly Deprecation[] = [
  {
    path: '/healthz',
    since: '2026-11-26',
    sunset: '2027-12-31',
    successor: '/livez',
    reason:
      'The name does not say which of two questions is answered: whether the process lives, or whether it can do its work. /livez answers the first and /readyz the second.',
  },
]

const startOf = (day: string) => new Date(`${day}T00:00:00Z`)

/** Deprecation (RFC 9745), Sunset (RFC 8594) and the links that go with them, on every answer of a deprecated path. */
export function deprecated(path: string): MiddlewareHandler {
  const { since, sunset, successor } = DEPRECATIONS.find((entry) => entry.path === path)!
  return async (c, next) => {
    await next()
    c.res.headers.set('Deprecation', `@${startOf(since).getTime() / 1000}`)
    c.res.headers.set('Sunset', startOf(sunset).toUTCString())
    c.res.headers.append('Link', `<${DEPRECATIONS_PATH}>; rel="deprecation"; type="application/json"`)
    c.res.headers.append('Link', `<${successor}>; rel="successor-version"`)
  }
}
