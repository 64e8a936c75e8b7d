import type { Context, MiddlewareHandler } from 'hono'
import type { FairUse } from '../../services/fair-use.ts'
import type { AppEnv, KeyHolder, KeyState, Ports, ShopPort } from '../env.ts'
import { KEY_QUOTAS } from '../limits.ts'
import { ProblemError } from '../problem.ts'
import { policyField, type Quota, remainingField } from '../rate-fields.ts'

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

interface Allowance {
  isWithin: boolean
  quotas: Quota[]
}

/** A count waits no longer than this for the database: reads go on while another writer holds it. */
const COUNTS_WITHIN_MS = 500
function inTime<T>(work: Promise<T>): Promise<T | undefined> {
  let timer: ReturnType<typeof setTimeout> | undefined
  const late = new Promise<undefined>((resolve) => {
    timer = setTimeout(() => resolve(undefined), COUNTS_WITHIN_MS)
  })
  const soon = work.catch(() => undefined)
  return Promise.race([soon, late]).finally(() => clearTimeout(timer))
}

/** What is left of a key's quotas, this request counted. A database that cannot count in time lets pass. */
async function ofKey({ id, shop, lastUsedAt = 0 }: KeyHolder, shops: ShopPort): Promise<Allowance | undefined> {
  if (id === undefined) return undefined
  const { minute: minuteLimit, day: dayLimit } = KEY_QUOTAS
  const used = await inTime(shops.keys.count({ id, shop, lastUsedAt }, minuteLimit))
  if (!used) return undefined
  const quota = (
    name: string,
    limit: number,
    windowS: number,
    { count, endsInS }: { count: number; endsInS: number },
  ) => ({ name, limit, windowS, remaining: Math.max(0, limit - count), endsInS }) satisfies Quota
  return {
    isWithin: used.minute.count <= minuteLimit && used.day.count <= dayLimit,
    quotas: [quota('key-minute', minuteLimit, 60, used.minute), quota('key-day', dayLimit, 86_400, used.day)],
  }
}

/** What is left for the place that a request without a key comes from. */
async function ofAddress(fairUse: FairUse, address: string): Promise<Allowance> {
  const { limit, windowS } = fairUse
  const { isWithin, remaining, endsInS } = await fairUse.count(address)
  const left = isWithin ? remaining : 0
  return { isWithin, quotas: [{ name: 'fair-use', limit, windowS, remaining: left, endsInS }] }
}

function refusal(c: Context, { quotas }: Allowance): ProblemError {
  const spent = quotas.filter(({ remaining }) => remaining === 0)
  const retryAfterS = Math.max(...spent.map(({ endsInS, windowS }) => endsInS ?? windowS))
  const errors = spent.map(({ name, limit, windowS }) => ({
    pointer: '',
    code: 'QUOTA_EXCEEDED',
    detail: `${name}: at most ${limit} requests in ${windowS} s`,
    limit,
  }))
  const detail = `${errors.map((error) => error.detail).join('; ')}. Try again in ${retryAfterS} s.`
  c.header('Retry-After', `${retryAfterS}`)
  return new ProblemError('QUOTA_EXCEEDED', detail, errors)
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
    const granted =
      typeof state === 'object' && 'holder' in state
        ? await ofKey(state.holder, state.shops)
        : ports.fairUse && (await ofAddress(ports.fairUse, ports.addressOf?.(c) ?? 'unknown'))
    if (granted) c.set('quotas', granted.quotas)
    if (granted && !granted.isWithin) throw refusal(c, granted)
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
