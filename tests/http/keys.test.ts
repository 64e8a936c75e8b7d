import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { createKey, firstKey, SCOPES, verifyKey } from '../../src/services/keys.ts'
import { endKey } from '../../src/services/manage-keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { sendAs, withKey } from '../support/keyed.ts'
import { ask, type Send } from '../support/service.ts'

const opened: Database[] = []
let database: Database
let admin: Send

beforeEach(async () => {
  database = await openDatabase(':memory:')
  opened.push(database)
  admin = await sendAs(database, 'north')
})
afterEach(() => vi.useRealTimers())
afterAll(() => opened.forEach(({ client }) => client.close()))

const make = (fields: object = {}) => ask(admin, 'POST', '/v1/keys', { label: 'till', scopes: ['overlays'], ...fields })
const opens = async (key: string) => (await ask(withKey(database, key), 'GET', '/v1/overlays')).status === 200
const at = (ms: number) => vi.useFakeTimers({ now: ms, toFake: ['Date'] })

describe('POST /v1/keys', () => {
  test('makes a key that opens what its scopes say, and shows it in this one answer only', async () => {
    const { status, body, headers } = await make()
    expect(status).toBe(201)
    expect(headers.get('Location')).toBe(`/v1/keys/${body.id}`)
    expect(headers.get('Cache-Control')).toBe('no-store')
    expect(body.key).toMatch(/^ta_[0-9A-Za-z]{40}_[0-9A-Za-z]{6}$/)
    expect(body.prefix).toBe(body.key.slice(0, 8))
    expect(await opens(body.key)).toBe(true)
    const read = await ask(admin, 'GET', `/v1/keys/${body.id}`)
    const list = await ask(admin, 'GET', '/v1/keys')
    for (const shown of [read.body, list.body]) expect(JSON.stringify(shown)).not.toContain(body.key.slice(8))
    expect(read.body).toMatchObject({ id: body.id, label: 'till', scopes: ['overlays'], state: 'in-force' })
  })

  test('stores a hash and nothing from which the key could be read', async () => {
    const { body } = await make()
    const { rows } = await database.client.execute('select * from api_keys')
    expect(JSON.stringify(rows)).not.toContain(body.key.slice(8, 40))
  })

  test('makes a key that ends when it was said to', async () => {
    at(Date.UTC(2027, 0, 1))
    const { body } = await make({ expiresAt: '2027-01-02T00:00:00Z' })
    at(Date.UTC(2027, 0, 1, 23, 59, 59))
    expect(await opens(body.key)).toBe(true)
    at(Date.UTC(2027, 0, 2))
    expect(await opens(body.key)).toBe(false)
    expect((await ask(admin, 'GET', `/v1/keys/${body.id}`)).body.state).toBe('ended')
  })

  test.each([
    ['an end that is over', { expiresAt: '2020-01-01T00:00:00Z' }, '/expiresAt'],
    ['a scope that is none', { scopes: ['everything'] }, '/scopes/0'],
    ['a scope twice', { scopes: ['calls', 'calls'] }, '/scopes'],
    ['no scope', { scopes: [] }, '/scopes'],
    ['a label of blanks', { label: '  ' }, '/label'],
    ['a field that is none', { admin: true }, '/admin'],
  ])('refuses %s', async (_, fields, pointer) => {
    const { status, body } = await make(fields)
    expect([status, body.errors[0].pointer]).toEqual([422, pointer])
  })

  test('refuses one more than fifty in force', async () => {
    for (let nth = 0; nth < 49; nth++) await createKey(database, 'north', ['calls'], 0)
    const { status, body } = await make()
    expect([status, body.code]).toEqual([409, 'KEY_LIMIT_REACHED'])
  })
})

describe('GET /v1/keys', () => {
  test('lists page by page, oldest first, without a next on the last page', async () => {
    for (let nth = 0; nth < 4; nth++) await make({ label: `till ${nth}` })
    const first = (await ask(admin, 'GET', '/v1/keys?limit=3')).body
    const second = (await ask(admin, 'GET', `/v1/keys?limit=3&cursor=${first.next}`)).body
    expect([first.items.length, second.items.length, second.next]).toEqual([3, 2, undefined])
    const times = [...first.items, ...second.items].map(({ createdAt }) => createdAt)
    expect(times).toEqual([...times].sort())
  })

  test('says when a key was last used, written at most once an hour', async () => {
    const start = Date.UTC(2027, 0, 1)
    at(start)
    const { body } = await make()
    const lastUsed = async () => (await ask(admin, 'GET', `/v1/keys/${body.id}`)).body.lastUsedAt
    expect(await lastUsed()).toBeUndefined()
    await opens(body.key)
    at(start + 3_599_000)
    await opens(body.key)
    expect(await lastUsed()).toBe('2027-01-01T00:00:00.000Z')
    at(start + 3_600_000)
    await opens(body.key)
    expect(await lastUsed()).toBe('2027-01-01T01:00:00.000Z')
  })
})

describe('POST /v1/keys/{id}/rotate', () => {
  const rotate = (id: string, body: object = {}) => ask(admin, 'POST', `/v1/keys/${id}/rotate`, body)

  test('makes a key of the same label and scopes; the old one stays valid for the overlap and then ends', async () => {
    at(Date.UTC(2027, 0, 1))
    const old = (await make()).body
    const { status, body } = await rotate(old.id, { overlap: { value: 2, unit: 'h' } })
    expect([status, body.label, body.scopes]).toEqual([201, 'till', ['overlays']])
    expect(body.replaced).toEqual({ id: old.id, endsAt: '2027-01-01T02:00:00.000Z' })
    expect([await opens(old.key), await opens(body.key)]).toEqual([true, true])
    at(Date.UTC(2027, 0, 1, 2))
    expect([await opens(old.key), await opens(body.key)]).toEqual([false, true])
    expect((await ask(admin, 'GET', `/v1/keys/${old.id}`)).body.replacedBy).toBe(body.id)
  })

  test('overlaps by a day when nothing is said, and never lengthens the life of the old key', async () => {
    at(Date.UTC(2027, 0, 1))
    const long = (await make()).body
    expect((await rotate(long.id)).body.replaced.endsAt).toBe('2027-01-02T00:00:00.000Z')
    const short = (await make({ expiresAt: '2027-01-01T01:00:00Z' })).body
    expect((await rotate(short.id)).body.replaced.endsAt).toBe('2027-01-01T01:00:00.000Z')
  })

  test('gives the new key as long a life as the old one was meant to have', async () => {
    at(Date.UTC(2027, 0, 1))
    const old = (await make({ expiresAt: '2027-01-31T00:00:00Z' })).body
    at(Date.UTC(2027, 0, 21))
    expect((await rotate(old.id)).body.expiresAt).toBe('2027-02-20T00:00:00.000Z')
  })

  test('of two at once one makes a key and the other is told', async () => {
    const old = (await make()).body
    const outcomes = await Promise.all([rotate(old.id), rotate(old.id)])
    expect(outcomes.map(({ status }) => status).sort()).toEqual([201, 409])
    expect((await ask(admin, 'GET', '/v1/keys')).body.items).toHaveLength(3)
  })

  test('refuses a key that was revoked', async () => {
    const old = (await make()).body
    await ask(admin, 'DELETE', `/v1/keys/${old.id}`)
    expect((await rotate(old.id)).body.code).toBe('KEY_NOT_IN_FORCE')
  })

  test.each([
    [{ value: 31, unit: 'd' }, 422, '/overlap/value'],
    [{ value: -1, unit: 's' }, 422, '/overlap/value'],
    [{ value: 1, unit: 'V' }, 422, '/overlap/unit'],
  ])('refuses an overlap of %j', async (overlap, status, pointer) => {
    const answer = await rotate((await make()).body.id, { overlap })
    expect([answer.status, answer.body.errors[0].pointer]).toEqual([status, pointer])
  })
})

describe('revoking', () => {
  test.each(['DELETE', 'POST'])('by %s ends a key at once, and again changes nothing', async (method) => {
    const { body: key } = await make()
    const path = method === 'POST' ? `/v1/keys/${key.id}/revoke` : `/v1/keys/${key.id}`
    expect(await opens(key.key)).toBe(true)
    const first = await ask(admin, method, path)
    expect(first.status).toBe(method === 'POST' ? 200 : 204)
    expect(await opens(key.key)).toBe(false)
    const once = (await ask(admin, 'GET', `/v1/keys/${key.id}`)).body
    expect((await ask(admin, method, path)).status).toBe(first.status)
    expect((await ask(admin, 'GET', `/v1/keys/${key.id}`)).body).toEqual(once)
  })

  const idOf = async (prefix: string) =>
    (await ask(admin, 'GET', '/v1/keys')).body.items.find((item: { prefix: string }) => item.prefix === prefix).id

  test('the last admin key is refused until the lock-out is accepted', async () => {
    const own = (await ask(admin, 'GET', '/v1/keys')).body.items[0].id
    const refused = await ask(admin, 'DELETE', `/v1/keys/${own}`)
    expect([refused.status, refused.body.code, refused.body.errors[0].pointer]).toEqual([
      409,
      'LAST_ADMIN_KEY',
      '?lockOut',
    ])
    const accepted = await ask(admin, 'POST', `/v1/keys/${own}/revoke?lockOut=accept`)
    expect([accepted.status, accepted.body.adminKeysLeft]).toEqual([200, 0])
    expect((await ask(admin, 'GET', '/v1/keys')).status).toBe(401)
  })

  test('a second admin key counts while it stays: not when it has ended or was replaced', async () => {
    at(Date.UTC(2027, 0, 1))
    const own = (await ask(admin, 'GET', '/v1/keys')).body.items[0].id
    const second = (await make({ scopes: ['admin'], expiresAt: '2027-01-02T00:00:00Z' })).body
    await ask(admin, 'POST', `/v1/keys/${second.id}/rotate`, {})
    at(Date.UTC(2027, 0, 3))
    expect((await ask(admin, 'DELETE', `/v1/keys/${own}`)).body.code).toBe('LAST_ADMIN_KEY')
    await make({ scopes: ['admin', 'calls'] })
    expect((await ask(admin, 'DELETE', `/v1/keys/${own}`)).status).toBe(204)
  })

  test('two admin keys cannot end each other at the same time', async () => {
    const { stored } = await firstKey(database, { shopId: 'north', scopes: ['admin'] }, 0)
    const ids = (await ask(admin, 'GET', '/v1/keys')).body.items.map(({ id }: { id: string }) => id)
    expect(ids).toContain(stored.id)
    const end = (id: string) => endKey(database, { shopId: 'north', id, now: 1, mayLockOut: false })
    expect((await Promise.all(ids.map(end))).sort()).toEqual(['ended', 'last-admin'])
  })

  test('another shop with an admin key does not count', async () => {
    await sendAs(database, 'south')
    const own = await idOf((await ask(admin, 'GET', '/v1/keys')).body.items[0].prefix)
    expect((await ask(admin, 'DELETE', `/v1/keys/${own}`)).status).toBe(409)
  })
})

test('a key of the time before ids gets one by the migration and goes on opening', async () => {
  const key = await createKey(database, 'north', SCOPES, 0)
  await database.client.batch(['update api_keys set id = null'], 'write')
  const { readFileSync, readdirSync } = await import('node:fs')
  const file = readdirSync('src/store/migrations').find((name) => name.endsWith('_keys-by-hand.sql'))!
  const statements = readFileSync(`src/store/migrations/${file}`, 'utf8').split('--> statement-breakpoint')
  await database.client.batch(statements, 'write')
  const { body } = await ask(withKey(database, key), 'GET', '/v1/keys')
  expect(body.items).toHaveLength(2)
  for (const { id } of body.items) expect(id).toMatch(/^key-[0-9a-f]{16}$/)
  expect(await verifyKey(database, key, 1)).toEqual({ shop: 'north', scopes: [...SCOPES] })
})

test('a key whose row holds another hash opens nothing, although its beginning is the same', async () => {
  const key = await createKey(database, 'north', SCOPES, 0)
  await database.client.execute({
    sql: "update api_keys set hash = substr(hash, 1, 63) || case substr(hash, 64) when '0' then '1' else '0' end where prefix = ?",
    args: [key.slice(0, 8)],
  })
  expect(await verifyKey(database, key, 1)).toBeUndefined()
})
