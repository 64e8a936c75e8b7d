import type { Context } from 'hono'
import { parseAccept } from './middleware/accept.ts'

/** The language a reader wishes for: the query first, then the best tag of Accept-Language, which the answer varies by. */
export function wishedLanguage(c: Context, query: string | undefined): string | undefined {
  c.header('Vary', 'Accept-Language', { append: true })
  if (query !== undefined) return query
  const header = c.req.header('Accept-Language')
  if (header === undefined) return undefined
  const best = parseAccept(header)
    .filter(({ type, quality }) => type !== '' && type !== '*' && quality > 0)
    .sort((a, b) => b.quality - a.quality)[0]
  return best?.type
}
