import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest'
import { createApp } from '../../src/app.ts'
import { KEY_QUOTAS } from '../../src/http/limits.ts'
import { createNodeApp, hostPorts, trusting } from '../../src/node.ts'
import { clientAddress } from '../../src/services/client-address.ts'
import { boundFairUse, dailyName, memoryFairUse } from '../../src/services/fair-use.ts'
import { createKey } from '../../src/services/keys.ts'
import { networkOf } from '../../src/services/network-of.ts'
import { shopPort } from '../../src/services/shop-port.ts'
import { countUse } from '../../src/store/key-usage.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { StoreError } from '../../src/store/store-error.ts'
import { ask, type Send } from '../support/service.ts'

const NOON = Date.UTC(2027, 0, 1, 12)
const at = (ms: number) => vi.useFakeTimers({ now: ms, toFake: ['Date'] })
let database: Database
beforeAll(async () => {
  database = await openDatabase(':memory:')
})
beforeEach(() => at(NOON))
afterEach(() => vi.useRealTimers())
afterAll(() => database.client.close())

const LIST = /^"[a-z-]+"(;[a-z]+=\d+)+(, "[a-z-]+"(;[a-z]+=\d+)+)*$/

describe('without a key', () => {
  function limited(limit: number) {
    let address: string | undefined = '192.0.2.1'
    const app = createNodeApp(database, {
      fairUse: memoryFairUse({ now: () => Date.now(), salt: 'salt', limit }),
      addressOf: () => address,
    })
    const send: Send = async (path, init) => app.request(path, init)
    return { send, from: (other: string | undefined) => (address = other) }
  }

  test('so many requests a minute are answered, the next is refused with when to try again', async () => {
    const { send } = limited(2)
    const first = await ask(send, 'GET', '/v1/capabilities')
    expect([first.headers.get('RateLimit-Policy'), first.headers.get('RateLimit')]).toEqual([
      '"fair-use";q=2;w=60',
      '"fair-use";r=1;t=60',
    ])
    expect((await ask(send, 'GET', '/v1/capabilities')).status).toBe(200)
    at(NOON + 20_000)
    const { status, body, headers } = await ask(send, 'GET', '/v1/capabilities')
    expect([status, body.code, body.type]).toEqual([429, 'QUOTA_EXCEEDED', '/problems/quota-exceeded'])
    expect(body.errors[0]).toMatchObject({ limit: 2 })
    expect([headers.get('Retry-After'), headers.get('RateLimit')]).toEqual(['40', '"fair-use";r=0;t=40'])
    expect(headers.get('Access-Control-Allow-Origin')).toBe('*')
    at(NOON + 60_000)
    expect((await ask(send, 'GET', '/v1/capabilities')).status).toBe(200)
  })

  test('each address has its own', async () => {
    const { send, from } = limited(1)
    expect((await ask(send, 'GET', '/')).status).toBe(200)
    expect((await ask(send, 'GET', '/')).status).toBe(429)
    from('192.0.2.2')
    expect((await ask(send, 'GET', '/')).status).toBe(200)
    from(undefined)
    expect((await ask(send, 'GET', '/')).status).toBe(200)
  })

  test('a header that anybody can write does not make another address', async () => {
    const { send } = limited(1)
    await ask(send, 'GET', '/')
    const headers = { 'X-Forwarded-For': '192.0.2.9', Forwarded: 'for=192.0.2.9', 'CF-Connecting-IP': '192.0.2.9' }
    expect((await ask(send, 'GET', '/', undefined, headers)).status).toBe(429)
  })

  test('what watches over the service is never refused, nor is a browser that asks first', async () => {
    const { send } = limited(1)
    for (let nth = 0; nth < 3; nth++)
      for (const path of ['/livez', '/readyz', '/healthz']) expect((await ask(send, 'GET', path)).status).toBe(200)
    for (let nth = 0; nth < 3; nth++) {
      const { status } = await send('/v1/diagnose', { method: 'OPTIONS', headers: { Origin: 'https://shop.example' } })
      expect(status).toBe(204)
    }
  })

  test('refusals, 404 and 304 say what is left too', async () => {
    const { send } = limited(9)
    const etag = (await ask(send, 'GET', '/v1/capabilities')).headers.get('ETag')!
    const answers = [
      await ask(send, 'GET', '/v1/capabilities', undefined, { 'If-None-Match': etag }),
      await ask(send, 'GET', '/nothing'),
      await ask(send, 'PUT', '/v1/capabilities'),
      await ask(send, 'POST', '/v1/diagnose', '{'),
    ]
    expect(answers.map(({ status }) => status)).toEqual([304, 404, 405, 400])
    expect(answers.map(({ headers }) => headers.get('RateLimit'))).toEqual(
      [7, 6, 5, 4].map((left) => `"fair-use";r=${left};t=60`),
    )
  })

  test('a limiter that only says yes or no states its policy, and nothing left once it says no', async () => {
    const keys: string[] = []
    const limit = async ({ key }: { key: string }) => ({ success: keys.push(key) < 2 })
    const fairUse = boundFairUse({ limit }, { now: () => Date.now(), salt: 'salt' })
    const app = createNodeApp(database, { fairUse, addressOf: () => '192.0.2.1' })
    const send: Send = async (path, init) => app.request(path, init)
    const first = await ask(send, 'GET', '/')
    expect([first.headers.get('RateLimit-Policy'), first.headers.get('RateLimit')]).toEqual([
      '"fair-use";q=300;w=60',
      null,
    ])
    const second = await ask(send, 'GET', '/')
    expect([second.status, second.headers.get('Retry-After'), second.headers.get('RateLimit')]).toEqual([
      429,
      '60',
      '"fair-use";r=0',
    ])
    expect(keys[0]).toBe(keys[1])
    expect(keys[0]).not.toContain('192')
  })

  test('nothing is written to the database', async () => {
    const { send } = limited(100)
    const write = vi.spyOn(database.client, 'batch')
    const read = vi.spyOn(database.client, 'execute')
    await ask(send, 'POST', '/v1/diagnose', { findings: [] })
    expect([write.mock.calls.length, read.mock.calls.length]).toEqual([0, 0])
    write.mockRestore()
    read.mockRestore()
  })
})

describe('the name of an address', () => {
  const name = (address: string, options: { salt?: string; now?: number } = {}) =>
    dailyName({ now: () => options.now ?? NOON, salt: options.salt ?? 'a' })(address)

  test('holds for one day of UTC and one salt, and does not contain the address', async () => {
    const own = await name('192.0.2.1')
    expect(await name('192.0.2.1', { now: NOON + 3_600_000 })).toBe(own)
    expect(own).not.toContain('192.0.2.1')
    expect(await name('192.0.2.1', { now: NOON + 86_400_000 })).not.toBe(own)
    expect(await name('192.0.2.1', { salt: 'b' })).not.toBe(own)
    expect(await name('192.0.2.2')).not.toBe(own)
  })

  test.each([
    ['192.0.2.1', '192.0.2.1'],
    ['::ffff:192.0.2.1', '192.0.2.1'],
    ['2001:db8:1:2:3:4:5:6', '2001:db8:1:2::/64'],
    ['2001:0DB8:0001:0002::', '2001:db8:1:2::/64'],
    ['2001:db8::1', '2001:db8:0:0::/64'],
    ['fe80::1%eth0', 'fe80:0:0:0::/64'],
    ['::1', '0:0:0:0::/64'],
  ])('of %s is that of %s', (address, network) => {
    expect(networkOf(address)).toBe(network)
  })
})

describe('behind a proxy', () => {
  const own = trusting('10.0.0.7, 10.1.0.0/16, fd00::/8')

  test.each<[string, string | undefined, string | undefined, string | undefined]>([
    ['nobody of ours', '192.0.2.1', '198.51.100.9', '192.0.2.1'],
    ['one of ours', '10.0.0.7', '198.51.100.9', '198.51.100.9'],
    ['two of ours', '10.0.0.7', '198.51.100.9, 10.1.2.3', '198.51.100.9'],
    ['one of ours, with an invention before', '10.0.0.7', '203.0.113.5, 198.51.100.9', '198.51.100.9'],
    ['one of ours, by IPv6', 'fd00::1', '2001:db8::5', '2001:db8::5'],
    ['one of ours that says nothing', '10.0.0.7', undefined, '10.0.0.7'],
    ['one of ours that says a blank', '10.0.0.7', ' ', '10.0.0.7'],
    ['no connection', undefined, '198.51.100.9', undefined],
  ])('%s: the sender is found', (_, connection, forwarded, sender) => {
    expect(clientAddress(connection, forwarded, own)).toBe(sender)
  })

  test.each(['lots', '-1', '1.5'])('a limit of %s stops the start', (FAIR_USE_PER_MINUTE) => {
    expect(() => hostPorts({ FAIR_USE_PER_MINUTE })).toThrow(/FAIR_USE_PER_MINUTE must be/)
  })

  test('a proxy that is no address stops the start', () => {
    expect(() => trusting('proxy.example')).toThrow()
  })

  test('a limit of 0 is none, and a log can be turned off', () => {
    expect(Object.keys(hostPorts({ FAIR_USE_PER_MINUTE: '0', LOG: 'off' }))).toEqual(['addressOf'])
  })
})

describe('with a key', () => {
  test('minute and day are stated in list syntax, exactly', async () => {
    const key = await createKey(database, 'counted', ['overlays'], 0)
    const app = createNodeApp(database, { fairUse: memoryFairUse({ now: () => Date.now(), salt: 's', limit: 1 }) })
    const send: Send = async (path, init) => app.request(path, init)
    for (let nth = 1; nth <= 3; nth++) {
      const { status, headers } = await ask(send, 'GET', '/v1/overlays', undefined, { Authorization: `Bearer ${key}` })
      expect(status).toBe(200)
      expect(headers.get('RateLimit-Policy')).toBe('"key-minute";q=1200;w=60, "key-day";q=100000;w=86400')
      expect(headers.get('RateLimit')).toBe(`"key-minute";r=${1200 - nth};t=60, "key-day";r=${100_000 - nth};t=43200`)
      expect(headers.get('RateLimit')).toMatch(LIST)
    }
  })

  const use = (keyId: string, now: number, minuteLimit = 3) =>
    countUse(database, { shopId: 'counted', keyId, now, minuteLimit, touches: false })
  const counts = async (keyId: string, now: number) => {
    const { minute, day } = await use(keyId, now)
    return [minute.count, day.count]
  }

  test('a new minute and a new day begin at one; what a minute refuses does not count towards the day', async () => {
    const start = Date.UTC(2027, 0, 1, 23, 58)
    expect(await counts('a', start)).toEqual([1, 1])
    expect(await counts('a', start + 59_999)).toEqual([2, 2])
    expect(await counts('a', start + 59_999)).toEqual([3, 3])
    expect(await counts('a', start + 59_999)).toEqual([4, 3])
    expect(await counts('a', start + 60_000)).toEqual([1, 4])
    expect(await counts('a', start + 120_000)).toEqual([1, 1])
  })

  test('a host whose clock is behind does not clear the count of one that is ahead', async () => {
    expect(await counts('b', NOON + 60_000)).toEqual([1, 1])
    expect(await counts('b', NOON)).toEqual([2, 2])
    expect(await counts('b', NOON + 60_000)).toEqual([3, 3])
  })

  test('of many at once none is lost', async () => {
    const counted = await Promise.all(Array.from({ length: 40 }, () => use('c', NOON, 100)))
    expect(counted.map(({ minute }) => minute.count).sort((a, b) => a - b)).toEqual(
      Array.from({ length: 40 }, (_, index) => index + 1),
    )
  })

  test('one over the minute is refused, another key of the shop is not', async () => {
    const [spent, fresh] = [
      await createKey(database, 'busy', ['overlays'], 0),
      await createKey(database, 'busy', ['overlays'], 0),
    ]
    const app = createNodeApp(database)
    const send: Send = async (path, init) => app.request(path, init)
    const list = (key: string) => ask(send, 'GET', '/v1/overlays', undefined, { Authorization: `Bearer ${key}` })
    await list(spent)
    await database.client.execute({
      sql: 'update key_usage set minute_count = ? where shop_id = ?',
      args: [KEY_QUOTAS.minute, 'busy'],
    })
    const { status, headers, body } = await list(spent)
    expect([status, headers.get('Retry-After'), body.errors[0].limit]).toEqual([429, '60', KEY_QUOTAS.minute])
    expect((await list(fresh)).status).toBe(200)
  })

  test('one over the day is told to come back the next day', async () => {
    const key = await createKey(database, 'long', ['overlays'], 0)
    const app = createNodeApp(database)
    const send: Send = async (path, init) => app.request(path, init)
    const list = () => ask(send, 'GET', '/v1/overlays', undefined, { Authorization: `Bearer ${key}` })
    await list()
    await database.client.execute({
      sql: 'update key_usage set day_count = ? where shop_id = ?',
      args: [KEY_QUOTAS.day, 'long'],
    })
    const { status, headers } = await list()
    expect([status, headers.get('Retry-After')]).toEqual([429, '43200'])
  })

  test('one that is not in force is refused on a public path too, and counts against the address', async () => {
    const app = createNodeApp(database, {
      fairUse: memoryFairUse({ now: () => Date.now(), salt: 's', limit: 2 }),
      addressOf: () => '192.0.2.1',
    })
    const send: Send = async (path, init) => app.request(path, init)
    const guess = () =>
      ask(send, 'GET', '/v1/capabilities', undefined, { Authorization: `Bearer ta_${'x'.repeat(47)}` })
    expect([(await guess()).status, (await guess()).status, (await guess()).status]).toEqual([401, 401, 429])
  })

  test('a database that does not answer leaves the public paths and makes the others unavailable', async () => {
    const broken = await openDatabase(':memory:')
    const key = await createKey(broken, 'north', ['overlays'], 0)
    broken.client.close()
    const app = createNodeApp(broken)
    const send: Send = async (path, init) => app.request(path, init)
    const headers = { Authorization: `Bearer ${key}` }
    expect((await ask(send, 'GET', '/v1/capabilities', undefined, headers)).status).toBe(200)
    expect((await ask(send, 'GET', '/v1/overlays', undefined, headers)).body.code).toBe('UNAVAILABLE')
  })

  test('why it does not answer is told on the others, and when to try again', async () => {
    const holderOf = () => Promise.reject(new StoreError('STORE_UNREACHABLE'))
    const app = createApp({
      openApiDocument: async () => '{}',
      shops: { ...shopPort(database), holderOf },
      releaseFile: async () => undefined,
    })
    const send: Send = async (path, init) => app.request(path, init)
    const headers = { Authorization: `Bearer ta_${'x'.repeat(47)}` }
    const { status, body, headers: told } = await ask(send, 'GET', '/v1/overlays', undefined, headers)
    expect([status, body.code]).toEqual([503, 'STORE_UNREACHABLE'])
    expect(Number(told.get('Retry-After'))).toBeGreaterThan(0)
  })

  test('a database that cannot count yet lets a read pass soon', async () => {
    const slow = shopPort(database)
    const key = await createKey(database, 'north', ['overlays'], 0)
    const keys = { ...slow.keys, count: () => new Promise<never>(() => undefined) }
    const app = createApp({
      openApiDocument: async () => '{}',
      shops: { ...slow, keys },
      releaseFile: async () => undefined,
    })
    const begin = performance.now()
    const response = await app.request('/v1/overlays', { headers: { Authorization: `Bearer ${key}` } })
    expect(response.status).toBe(200)
    expect(performance.now() - begin).toBeLessThan(5000)
  })
})

test('the capabilities name each quota as RateLimit-Policy does', async () => {
  const app = createNodeApp(database, { fairUse: memoryFairUse({ now: () => Date.now(), limit: 7 }) })
  const { body } = await ask(async (path, init) => app.request(path, init), 'GET', '/v1/capabilities')
  expect(body.quotas.map(({ name, requests }: { name: string; requests: number }) => [name, requests])).toEqual([
    ['fair-use', 7],
    ['key-minute', KEY_QUOTAS.minute],
    ['key-day', KEY_QUOTAS.day],
  ])
})
