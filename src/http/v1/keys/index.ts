import type { OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { isInForce, type Scope } from '../../../services/keys.ts'
import { decodeCursor, encodeCursor } from '../../cursor.ts'
import type { AppEnv, ShopPort } from '../../env.ts'
import { LIMITS } from '../../limits.ts'
import type { ShopEnv } from '../../middleware/key.ts'
import { ProblemError } from '../../problem.ts'
import { quantityReader } from '../../quantity.ts'
import type { Quantity } from '../../schema.ts'
import { createKeyRoute, deleteRoute, listRoute, readRoute, revokeRoute, rotateRoute } from './routes.ts'

type Keys = ShopPort['keys']
type Stored = NonNullable<Awaited<ReturnType<Keys['read']>>>

const DEFAULT_OVERLAP: Quantity = { value: 24, unit: 'h' }
const MOST_OVERLAP_S = 30 * 86_400
const DEFAULT_LIMIT = 50

const time = (name: string, at: number | null) => (at === null ? {} : { [name]: new Date(at).toISOString() })

function worded(key: Stored) {
  const ended = isInForce(key, Date.now()) ? ('in-force' as const) : ('ended' as const)
  return {
    id: key.id,
    prefix: key.prefix,
    ...(key.label === null ? {} : { label: key.label }),
    scopes: key.scopes as Scope[],
    state: key.revokedAt === null ? ended : ('revoked' as const),
    createdAt: new Date(key.createdAt).toISOString(),
    ...time('expiresAt', key.expiresAt),
    ...time('revokedAt', key.revokedAt),
    ...time('lastUsedAt', key.lastUsedAt),
    ...(key.replacedBy === null ? {} : { replacedBy: key.replacedBy }),
  }
}

const absent = (id: string) => new ProblemError('NOT_FOUND', `there is no key ${id} here`)

/** The end of a key, which must lie ahead. @throws 422 */
function endOf(expiresAt: string | undefined): number | undefined {
  if (expiresAt === undefined) return undefined
  const [at, now] = [Date.parse(expiresAt), Date.now()]
  if (at > now) return at
  const limit = new Date(now).toISOString()
  const detail = `expiresAt must be later than ${limit}, got ${expiresAt}`
  throw new ProblemError('INPUT_INVALID', detail, [
    { pointer: '/expiresAt', code: 'TIME_PAST', detail, limit, value: expiresAt },
  ])
}

/** The overlap of a rotation in milliseconds. @throws 422 */
function overlapOf(overlap: Quantity = DEFAULT_OVERLAP): number {
  const seconds = quantityReader.required(overlap, 's', '/overlap')
  if (seconds >= 0 && seconds <= MOST_OVERLAP_S) return Math.round(seconds * 1000)
  const detail = `overlap must be 0 to ${MOST_OVERLAP_S} s, got ${seconds} s`
  const limit = `0 to ${MOST_OVERLAP_S} s`
  throw new ProblemError('QUANTITY_OUT_OF_RANGE', detail, [
    { pointer: '/overlap/value', code: 'QUANTITY_OUT_OF_RANGE', detail, limit, value: overlap.value },
  ])
}

/** An answer with a key in it is for one reader, once. */
function announce(c: Context, id: string): void {
  c.header('Cache-Control', 'no-store')
  c.header('Location', `/v1/keys/${id}`)
}

async function revoke(keys: Keys, shop: string, id: string, lockOut: 'accept' | undefined): Promise<void> {
  const outcome = await keys.revoke({ shopId: shop, id, mayLockOut: lockOut === 'accept' })
  if (outcome === 'absent') throw absent(id)
  if (outcome === 'ended') return
  const detail =
    'this is the last key of the shop with the scope admin: without it keys are made only by the operator of the service. Send lockOut=accept to revoke it all the same'
  throw new ProblemError('LAST_ADMIN_KEY', detail, [
    { pointer: '?lockOut', code: 'LAST_ADMIN_KEY', detail: 'not accepted', limit: 'accept' },
  ])
}

const keysOf = ({ var: { shop, shops } }: Context<ShopEnv>) => ({ shop, keys: shops.keys })

export function registerKeys(app: OpenAPIHono<AppEnv>): void {
  app.openapi(listRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    const { cursor, limit: asked } = c.req.valid('query')
    const limit = Number(asked ?? DEFAULT_LIMIT)
    const offset = cursor === undefined ? 0 : decodeCursor(cursor, 'keys')
    const found = await keys.list(shop, offset, limit + 1)
    const next = found.length > limit ? { next: encodeCursor(offset + limit, 'keys') } : {}
    return c.json({ items: found.slice(0, limit).map(worded), ...next }, 200)
  })
  app.openapi(readRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    const { id } = c.req.valid('param')
    const key = await keys.read(shop, id)
    if (!key) throw absent(id)
    return c.json(worded(key), 200)
  })
  app.openapi(createKeyRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    const { expiresAt, ...asked } = c.req.valid('json')
    const issued = await keys.issue({ shopId: shop, ...asked, expiresAt: endOf(expiresAt) })
    if (!issued)
      throw new ProblemError(
        'KEY_LIMIT_REACHED',
        `a shop has at most ${LIMITS.keysPerShop} keys in force; revoke one first`,
      )
    announce(c, issued.stored.id)
    return c.json({ ...worded(issued.stored), key: issued.key }, 201)
  })
  app.openapi(rotateRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    const { id } = c.req.valid('param')
    const { overlap, expiresAt } = c.req.valid('json')
    const done = await keys.rotate({ shopId: shop, id, overlapMs: overlapOf(overlap), expiresAt: endOf(expiresAt) })
    if (done === 'absent') throw absent(id)
    if (done === 'not-in-force')
      throw new ProblemError('KEY_NOT_IN_FORCE', `${id} has ended, is revoked or was replaced before`)
    announce(c, done.stored.id)
    const replaced = { id, endsAt: new Date(done.oldEndsAt).toISOString() }
    return c.json({ ...worded(done.stored), key: done.key, replaced }, 201)
  })
  app.openapi(deleteRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    await revoke(keys, shop, c.req.valid('param').id, c.req.valid('query').lockOut)
    return c.body(null, 204)
  })
  app.openapi(revokeRoute, async (c) => {
    const { shop, keys } = keysOf(c)
    const { id } = c.req.valid('param')
    await revoke(keys, shop, id, c.req.valid('query').lockOut)
    const [key, adminKeysLeft] = await Promise.all([keys.read(shop, id), keys.adminsLeft(shop)])
    return c.json({ ...worded(key!), adminKeysLeft }, 200)
  })
}
