import type { Context } from 'hono'
import type { AppEnv, KeyHolder, Ports } from '../env.ts'
import { ProblemError } from '../problem.ts'

const BEARER = /^Bearer ([\x21-\x7e]{1,200})$/

/** The shop behind the request's key. Throws 401 without a valid key, 403 without the scope, 503 without a database. */
export async function requireKey(c: Context<AppEnv>, ports: Ports, scope: string): Promise<KeyHolder> {
  if (!ports.shops) throw new ProblemError('UNAVAILABLE', 'No database is bound, so there are no shops here')
  const token = BEARER.exec(c.req.header('Authorization') ?? '')?.[1]
  const holder = token === undefined ? undefined : await ports.shops.holderOf(token)
  if (!holder) throw new ProblemError('UNAUTHENTICATED', 'Send a valid key as Authorization: Bearer <key>')
  if (!holder.scopes.includes(scope)) throw new ProblemError('FORBIDDEN', `The key lacks the scope ${scope}`)
  return holder
}
