import type { MiddlewareHandler } from 'hono'
import { ProblemError } from '../problem.ts'

interface Preference {
  type: string
  quality: number
}

/** "text/html;q=0.8, *\/*" -> media ranges with their quality; parameters other than q are ignored. */
export function parseAccept(header: string): Preference[] {
  return header.split(',').map((part) => {
    const [type = '', ...parameters] = part
      .trim()
      .toLowerCase()
      .split(/\s*;\s*/)
    const quality = parameters.find((parameter) => parameter.startsWith('q='))
    return { type, quality: quality === undefined ? 1 : Number(quality.slice(2)) || 0 }
  })
}

function qualityOf(preferences: readonly Preference[], offered: string): number {
  const ranges = [offered, `${offered.split('/')[0]}/*`, '*/*']
  for (const range of ranges) {
    const found = preferences.find((preference) => preference.type === range)
    if (found) return found.quality
  }
  return 0
}

/** The offered media type that the header prefers; the first one when it asks for nothing; undefined when none will do. */
export function negotiate(header: string | undefined, offered: readonly string[]): string | undefined {
  if (header === undefined || header.trim() === '') return offered[0]
  const preferences = parseAccept(header)
  let best: { type: string; quality: number } | undefined
  for (const type of offered) {
    const quality = qualityOf(preferences, type)
    if (quality > (best?.quality ?? 0)) best = { type, quality }
  }
  return best?.type
}

/** Refuses with 406 when the client accepts none of the offered types. */
export function requireAccept(...offered: string[]): MiddlewareHandler {
  return async (c, next) => {
    const accepted = negotiate(c.req.header('Accept'), [...offered, 'application/problem+json'])
    if (accepted === undefined)
      throw new ProblemError('NOT_ACCEPTABLE', `Accept must allow one of ${offered.join(', ')}`, [
        {
          pointer: 'Accept',
          code: 'NOT_ACCEPTABLE',
          detail: 'header Accept',
          limit: offered.join(', '),
          value: c.req.header('Accept') ?? '',
        },
      ])
    await next()
  }
}
