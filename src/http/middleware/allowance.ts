import type { Context, MiddlewareHandler } from 'hono'
import type { AppEnv, KeyState, Ports } from '../env.ts'
import { ProblemError } from '../problem.ts'
import { policyField, type Quota, remainingField } from '../rate-fields.ts'
import { type Allowance, type Asker, byAddress, byKey } from './asker.ts'

/** What watches over the service asks often and is never refused. */
const UNCOUNTED_PATHS: ReadonlySet<string> = new Set(['/healthz', '/livez', '/readyz'])

const BEARER = /^Bearer +(.*)$/i
const TOKEN = /^[\x21-\x7e]{1,200}$/
/** A key anywhere in an address, where logs and histories of browsers would keep it. */
const KEY_IN_ADDRESS = /ta_[0-9A-Za-z]{40}_[0-9A-Za-z]{6}/

async function keyStateOf(c: Context<AppEnv>, { shops }: Ports): Promise<KeyState> {
  if (!shops) return 'unbound'
  const presented = BEARER.exec(c.req.header('Authorization') ?? '')?.[1]
  if (presented === undefined) return 'none'
  if (!TOKEN.test(presented)) return 'refused'
  try {
    const holder = await shops.holderOf(presented)
    return holder ? { holder, shops } : 'refused'
  } catch (fault) {
    return { fault }
  }
}

/** Of these quotas, those that have no room for so many requests more. */
const spentBy = (quotas: readonly Quota[], requests: number) =>
  quotas.filter(({ remaining = Number.POSITIVE_INFINITY }) => remaining < requests)

/** The quotas that a request ran into; with further requests in it, how many are left for them. */
function refusal(c: Context, quotas: readonly Quota[], further = 0): ProblemError {
  const spent = spentBy(quotas, Math.max(1, further))
  const retryAfterS = Math.max(...spent.map(({ endsInS, windowS }) => endsInS ?? windowS))
  const errors = spent.map(({ name, limit, windowS, remaining }) => {
    const short = further > 0 ? `, of which ${remaining} are left and ${further} more are asked for` : ''
    const detail = `${name}: at most ${limit} requests in ${windowS} s${short}`
    return { pointer: '', code: 'QUOTA_EXCEEDED', detail, limit, ...(further > 0 ? { value: further + 1 } : {}) }
  })
  const most = Math.min(...spent.map(({ limit }) => limit))
  const advice = further < most ? `Try again in ${retryAfterS} s.` : `Send at most ${most} at once.`
  c.header('Retry-After', `${retryAfterS}`)
  return new ProblemError('QUOTA_EXCEEDED', `${errors.map(({ detail }) => detail).join('; ')}. ${advice}`, errors)
}

function askerOf(c: Context<AppEnv>, state: KeyState, { fairUse, addressOf }: Ports): Asker | undefined {
  if (typeof state === 'object' && 'holder' in state) return byKey(state.holder, state.shops)
  return fairUse && byAddress(fairUse, addressOf?.(c) ?? 'unknown')
}

/** Counts this request; leaves a way to count those that turn out to be in it. @throws 429 */
async function countIn(c: Context<AppEnv>, asker: Asker): Promise<void> {
  const take = (granted: Allowance | undefined, further?: number) => {
    if (granted) c.set('quotas', granted.quotas)
    if (granted && !granted.isWithin) throw refusal(c, granted.quotas, further)
  }
  take(await asker.countOne())
  c.set('countFurther', async (requests) => {
    if (requests > 0) take(await asker.countFurther(requests), requests)
  })
}

/**
 * Says whose key a request bears and whether it is within its allowance: by key exactly, without one by address and
 * approximately. A key that is not in force is refused on every path, so that nobody falls back to less without a word.
 */
export function allowance(ports: Ports): MiddlewareHandler<AppEnv> {
  return async (c, next) => {
    if (c.req.method === 'OPTIONS' || UNCOUNTED_PATHS.has(c.req.path)) return next()
    const state = await keyStateOf(c, ports)
    c.set('keyState', state)
    const asker = askerOf(c, state, ports)
    if (asker) await countIn(c, asker)
    if (state === 'refused')
      throw new ProblemError('UNAUTHENTICATED', 'This key is not in force: unknown, ended or revoked')
    if (KEY_IN_ADDRESS.test(c.req.url))
      throw new ProblemError(
        'UNAUTHENTICATED',
        'A key belongs into the header Authorization; revoke the one in the address',
      )
    await next()
  }
}

/** States what is left in every answer, refusals and 304 included. */
export const stateQuotas: MiddlewareHandler<AppEnv> = async (c, next) => {
  await next()
  const quotas = c.get('quotas')
  if (!quotas) return
  c.res.headers.set('RateLimit-Policy', policyField(quotas))
  const left = remainingField(quotas)
  if (left !== undefined) c.res.headers.set('RateLimit', left)
}
