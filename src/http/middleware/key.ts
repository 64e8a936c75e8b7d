import type { Context, MiddlewareHandler } from 'hono'
import { matchedRoutes } from 'hono/route'
import type { Scope } from '../../services/keys.ts'
import { storeErrorIn } from '../../services/store-error.ts'
import type { AppEnv, ShopPort } from '../env.ts'
import { ProblemError } from '../problem.ts'
import { requireAccept } from './accept.ts'
import { limitBody } from './body-limit.ts'

const keysUnknown = () => new ProblemError('UNAVAILABLE', 'The database that knows the keys does not answer')

/**
 * The shop behind the request's key. The answer is that shop's own, so no shared cache may keep it.
 * @throws 401 without a valid key, 403 without the scope, 503 without a database
 */
export function requireKey(
  c: Pick<Context<AppEnv>, 'get' | 'header'>,
  scope: Scope,
): { shop: string; shops: ShopPort } {
  c.header('Vary', 'Authorization', { append: true })
  c.header('Cache-Control', 'private, no-cache')
  const state = c.get('keyState')
  if (state === 'unbound') throw new ProblemError('UNAVAILABLE', 'No database is bound, so there are no shops here')
  if (typeof state === 'object' && 'fault' in state) throw storeErrorIn(state.fault) ?? keysUnknown()
  if (typeof state !== 'object')
    throw new ProblemError('UNAUTHENTICATED', 'Send a valid key as Authorization: Bearer <key>')
  const { holder, shops } = state
  if (!holder.scopes.includes(scope)) throw new ProblemError('FORBIDDEN', `The key lacks the scope ${scope}`)
  return { shop: holder.shop, shops }
}

/** What the handler of a route behind a key finds in its context. */
export interface ShopEnv {
  Variables: AppEnv['Variables'] & {
    /** Id of the shop whose key was sent: the first part of all that is asked of `shops`. */
    shop: string
    shops: ShopPort
  }
}

const KEY_CHECKS = new WeakSet<object>()

/** Whether a request goes to a route behind a key, which limits the body itself once the key is known. */
export const isBehindKey = (c: Context): boolean => matchedRoutes(c).some(({ handler }) => KEY_CHECKS.has(handler))

/** Asks for the key first, then weighs length and type: of a request that may not be made, nothing is read. */
function keyFirst(scope: Scope, offered: string[]): MiddlewareHandler<ShopEnv> {
  const weighAccept = requireAccept(...offered)
  const check: MiddlewareHandler<ShopEnv> = (c, next) => {
    const { shop, shops } = requireKey(c, scope)
    c.set('shop', shop)
    c.set('shops', shops)
    return limitBody(c, () => weighAccept(c, next) as Promise<void>)
  }
  KEY_CHECKS.add(check)
  return check
}

/** The parts of a route that only the holder of a key with this scope may use: for the document, and before its validators. */
export const behindKey = (scope: Scope, ...offered: string[]) => ({
  security: [{ shopKey: [scope as string] }],
  middleware: keyFirst(scope, offered.length > 0 ? offered : ['application/json']),
})
