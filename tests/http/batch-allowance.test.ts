import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest'
import { createApp, type Ports } from '../../src/app.ts'
import { BATCH_NOTE, runBatch } from '../../src/http/batch.ts'
import { KEY_QUOTAS } from '../../src/http/limits.ts'
import { ProblemError } from '../../src/http/problem.ts'
import { boundFairUse, memoryFairUse } from '../../src/services/fair-use.ts'
import { createKey } from '../../src/services/keys.ts'
import { shopPort } from '../../src/services/shop-port.ts'
import { countUse, takeUse } from '../../src/store/key-usage.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { VALID } from '../support/hostile.ts'
import { ask, bareApp, createNodeApp, type Send } from '../support/service.ts'

/** What a batch counts towards the limits. */

const NOON = Date.UTC(2027, 0, 1, 12)
let database: Database
beforeAll(async () => {
  database = await openDatabase(':memory:')
})
beforeEach(() => void vi.useFakeTimers({ now: NOON, toFake: ['Date'] }))
afterEach(() => vi.useRealTimers())
afterAll(() => database.client.close())

interface Documented {
  post?: {
    description?: string
    responses: Record<string, { content?: Record<string, { schema: { $ref?: string; properties?: object } }> }>
  }
}
const document = bareApp().getOpenAPI31Document({ openapi: '3.1.0', info: { title: '', version: '' } })
const schemas = (document.components?.schemas ?? {}) as Record<string, { properties?: object }>

/** Every operation that answers a list of results. */
const BATCHES = Object.entries(document.paths as Record<string, Documented>).flatMap(([path, { post }]) => {
  const schema = post?.responses['200']?.content?.['application/json']?.schema
  const whole = schema?.$ref === undefined ? schema : schemas[schema.$ref.split('/').at(-1)!]
  return 'results' in (whole?.properties ?? {}) ? [{ path, description: post?.description }] : []
})

const itemOf = (path: string) =>
  (VALID[path.replace('{release}', 'latest')] as { items: object[] }).items[0] as Record<string, unknown>
const many = (path: string, count: number) => ({ items: Array(count).fill(itemOf(path)) })
const PATH = '/v1/resistors/identify/batch'
const left = (headers: Headers, name: string) =>
  Number(new RegExp(`"${name}";r=(\\d+)`).exec(headers.get('RateLimit')!)![1])

function keyless(limit: number, ports: Partial<Ports> = {}) {
  const fairUse = memoryFairUse({ now: () => Date.now(), salt: 's', limit })
  const releaseFile = async () => undefined
  const app = createApp({
    openApiDocument: async () => '{}',
    releaseFile,
    fairUse,
    addressOf: () => '192.0.2.1',
    ...ports,
  })
  const send: Send = async (path, init) => app.request(path, init)
  return send
}

test('every batch is found, and has a body of one item to be sent', () => {
  expect(BATCHES.length).toBeGreaterThan(10)
  for (const { path } of BATCHES) expect(itemOf(path), path).toBeTypeOf('object')
})

describe.each(BATCHES)('$path', ({ path: template, description }) => {
  const path = template.replace('{release}', 'latest')

  test('says that each item counts', () => {
    expect(description).toContain(BATCH_NOTE)
  })

  test('counts each item for an address, as POST and as QUERY', async () => {
    const send = keyless(20)
    const first = await ask(send, 'POST', path, many(template, 3))
    expect([first.status, left(first.headers, 'fair-use')]).toEqual([200, 17])
    const second = await ask(send, 'QUERY', path, many(template, 2))
    expect([second.status, left(second.headers, 'fair-use')]).toEqual([200, 15])
  })

  test('counts each item for a key, in its minute and its day', async () => {
    const key = await createKey(database, 'batching', ['overlays'], 0)
    const app = createNodeApp(database)
    const headers = { Authorization: `Bearer ${key}` }
    const answer = await ask(async (to, init) => app.request(to, init), 'POST', path, many(template, 4), headers)
    expect(answer.status).toBe(200)
    expect(left(answer.headers, 'key-minute')).toBe(KEY_QUOTAS.minute - 4)
    expect(left(answer.headers, 'key-day')).toBe(KEY_QUOTAS.day - 4)
  })
})

describe('without a key', () => {
  test('a batch for which too few are left is refused whole, and costs one', async () => {
    const send = keyless(10)
    await ask(send, 'POST', PATH, many(PATH, 4))
    const { status, body, headers } = await ask(send, 'POST', PATH, many(PATH, 7))
    expect([status, body.code, headers.get('Retry-After')]).toEqual([429, 'QUOTA_EXCEEDED', '60'])
    expect(body.errors).toEqual([
      {
        pointer: '',
        code: 'QUOTA_EXCEEDED',
        detail: 'fair-use: at most 10 requests in 60 s, of which 5 are left and 6 more are asked for',
        limit: 10,
        value: 7,
      },
    ])
    expect([headers.get('RateLimit-Policy'), headers.get('RateLimit')]).toEqual([
      '"fair-use";q=10;w=60',
      '"fair-use";r=5;t=60',
    ])
    const fitting = await ask(send, 'POST', PATH, many(PATH, 5))
    expect([fitting.status, fitting.headers.get('RateLimit')]).toEqual([200, '"fair-use";r=0;t=60'])
    expect((await ask(send, 'GET', '/')).status).toBe(429)
  })

  test('none of its items is run: not even the release that one names is fetched', async () => {
    const releaseFile = vi.fn(async () => undefined)
    const item = { ...itemOf(PATH), release: '0.1.0' }
    const short = keyless(3, { releaseFile })
    expect((await ask(short, 'POST', PATH, { items: Array(4).fill(item) })).status).toBe(429)
    expect(releaseFile).not.toHaveBeenCalled()
    await ask(short, 'POST', PATH, { items: [item, item] })
    expect(releaseFile).toHaveBeenCalled()
  })

  test('one with more items than the limit is told how many it may have', async () => {
    const { status, body } = await ask(keyless(5), 'POST', PATH, many(PATH, 6))
    expect([status, body.detail]).toEqual([429, expect.stringContaining('Send at most 5 at once.')])
  })

  test('one that is not valid costs one', async () => {
    const { status, headers } = await ask(keyless(10), 'POST', PATH, { items: [{ bands: 1 }, { bands: 2 }, {}] })
    expect([status, left(headers, 'fair-use')]).toEqual([422, 9])
  })

  test('without a limit a batch is answered', async () => {
    const app = bareApp()
    const { status, body } = await ask(async (to, init) => app.request(to, init), 'POST', PATH, many(PATH, 100))
    expect([status, body.results.length]).toEqual([200, 100])
  })

  test("with a platform's limiter each item asks it, and one no refuses the whole", async () => {
    let calls = 0
    const limit = async () => ({ success: ++calls <= 10 })
    const fairUse = boundFairUse({ limit }, { now: () => Date.now(), salt: 's' })
    const send = keyless(0, { fairUse })
    const first = await ask(send, 'POST', PATH, many(PATH, 6))
    expect([first.status, calls, first.headers.get('RateLimit')]).toEqual([200, 6, null])
    const second = await ask(send, 'POST', PATH, many(PATH, 50))
    expect([second.status, calls]).toEqual([429, 6 + 50])
    expect([second.headers.get('Retry-After'), second.headers.get('RateLimit')]).toEqual(['60', '"fair-use";r=0'])
  })
})

describe('with a key', () => {
  async function keyed(column: 'minute_count' | 'day_count', count: number) {
    const shop = `${column}-${count}`
    const key = await createKey(database, shop, ['overlays'], 0)
    const app = createNodeApp(database)
    const send: Send = async (path, init) =>
      app.request(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
    await ask(send, 'GET', '/')
    const sql = `update key_usage set ${column} = ? where shop_id = ?`
    await database.client.execute({ sql, args: [count, shop] })
    return send
  }

  test('a batch for which the minute has too few is refused whole, and costs one', async () => {
    const send = await keyed('minute_count', KEY_QUOTAS.minute - 10)
    const { status, headers, body } = await ask(send, 'POST', PATH, many(PATH, 20))
    expect([status, headers.get('Retry-After'), body.errors[0].value]).toEqual([429, '60', 20])
    expect([left(headers, 'key-minute'), left(headers, 'key-day')]).toEqual([9, KEY_QUOTAS.day - 2])
    const fitting = await ask(send, 'POST', PATH, many(PATH, 9))
    expect([fitting.status, left(fitting.headers, 'key-minute')]).toEqual([200, 0])
    expect(left(fitting.headers, 'key-day')).toBe(KEY_QUOTAS.day - 11)
  })

  test('a batch for which the day has too few is refused until the next day', async () => {
    const send = await keyed('day_count', KEY_QUOTAS.day - 5)
    const { status, headers, body } = await ask(send, 'POST', PATH, many(PATH, 6))
    expect([status, headers.get('Retry-After'), body.errors[0].limit]).toEqual([429, '43200', KEY_QUOTAS.day])
    // Nothing was taken from the minute either.
    expect(left(headers, 'key-minute')).toBe(KEY_QUOTAS.minute - 2)
  })

  test('of many batches at once no more are taken than fit', async () => {
    await createKey(database, 'crowd', [], 0)
    const key = { shopId: 'crowd', keyId: 'k', now: NOON }
    await countUse(database, { ...key, minuteLimit: 100, touches: false })
    const taken = await Promise.all(
      Array.from({ length: 40 }, () => takeUse(database, { ...key, requests: 10, minuteLimit: 100, dayLimit: 1000 })),
    )
    expect(taken.filter((one) => one?.isTaken)).toHaveLength(9)
    expect(Math.max(...taken.map((one) => one!.minute.count))).toBe(91)
  })

  test('a new minute has room again, and the day goes on', async () => {
    await createKey(database, 'turning', [], 0)
    const key = { shopId: 'turning', keyId: 'k' }
    await countUse(database, { ...key, now: NOON, minuteLimit: 10, touches: false })
    const limits = { requests: 8, minuteLimit: 10, dayLimit: 100 }
    expect(await takeUse(database, { ...key, ...limits, now: NOON })).toMatchObject({ isTaken: true })
    expect(await takeUse(database, { ...key, ...limits, now: NOON })).toMatchObject({ isTaken: false })
    const { minute, day } = (await takeUse(database, { ...key, ...limits, now: NOON + 60_000 }))!
    expect([minute.count, day.count]).toEqual([8, 17])
  })

  test('a database that cannot count in time lets a batch pass', async () => {
    const slow = shopPort(database)
    const key = await createKey(database, 'slow', ['overlays'], 0)
    const keys = { ...slow.keys, take: () => new Promise<never>(() => undefined) }
    const send = keyless(0, { shops: { ...slow, keys } })
    expect((await ask(send, 'POST', PATH, many(PATH, 3), { Authorization: `Bearer ${key}` })).status).toBe(200)
  })
})

test('a run that is refused beforehand runs nothing', async () => {
  const run = vi.fn()
  const refused = async () => {
    throw new ProblemError('QUOTA_EXCEEDED', 'none left')
  }
  const c = { get: () => refused } as never
  await expect(runBatch(c, [1, 2, 3], run)).rejects.toThrow('none left')
  expect(run).not.toHaveBeenCalled()
})
