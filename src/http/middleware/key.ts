import type { Context } from 'hono'
import { storeErrorIn } from '../../services/store-error.ts'
import type { AppEnv, KeyHolder, Ports } from '../env.ts'
import { ProblemError } from '../problem.ts'

const keysUnknown = () => new ProblemError('UNAVAILABLE', 'The database that knows the keys does not answer')

/**
 * The shop behind the request's key. The answer is that shop's own, so no shared cache may keep it.
 * @throws 401 without a valid key, 403 without the scope, 503 without a database
 */
export async function requireKey(c: Context<AppEnv>, ports: Ports, scope: string): Promise<KeyHolder> {
  c.header('Vary', 'Authorization', { append: true })
  c.header('Cache-Control', 'private, no-cache')
  if (!ports.shops) throw new ProblemError('UNAVAILABLE', 'No database is bound, so there are no shops here')
  const state = c.get('keyState')
  if (typeof state === 'object' && 'fault' in state) throw storeErrorIn(state.fault) ?? keysUnknown()
  if (typeof state !== 'object')
    throw new ProblemError('UNAUTHENTICATED', 'Send a valid key as Authorization: Bearer <key>')
  if (!state.holder.scopes.includes(scope)) throw new ProblemError('FORBIDDEN', `The key lacks the scope ${scope}`)
  return state.holder
}
