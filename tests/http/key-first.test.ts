import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { memoryFairUse } from '../../src/services/fair-use.ts'
import { createKey, SCOPES } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { type KeyedOperation, keyedOperations, kindOf, pathFor, sendAs } from '../support/keyed.ts'
import { ask, bareApp, createNodeApp, type Send } from '../support/service.ts'

/** On every keyed route the key is asked for before anything else of the request is looked at. */

const OPERATIONS = keyedOperations(bareApp())
const LARGE = `"${'x'.repeat(1024 * 1024)}"`
const FAIR_USE = 1_000_000
let database: Database
/** A new shop in each test, so that none runs into a limit that another used up. */
let shop: string
let owner: Send
let nth = 0

beforeAll(async () => {
  database = await openDatabase(':memory:')
})
beforeEach(async () => {
  shop = `north-${++nth}`
  owner = await sendAs(database, shop)
})
afterAll(() => database.client.close())

interface Sender {
  who: string
  status: number
  code: string
  send: Send
  /** Name of the quota that a request counts against. */
  quota: string
}

/** Somebody without a key, and somebody whose key is for everything else. */
async function refusedSenders({ scope }: KeyedOperation): Promise<Sender[]> {
  const fairUse = memoryFairUse({ now: () => Date.now(), salt: 's', limit: FAIR_USE })
  const app = createNodeApp(database, { fairUse, addressOf: () => '192.0.2.1' })
  const others = SCOPES.filter((other) => other !== scope)
  const narrow = await createKey(database, shop, others, 0)
  const bearing =
    (headers: object): Send =>
    async (path, init) =>
      app.request(path, { ...init, headers: { ...(init?.headers as object), ...headers } })
  return [
    { who: 'no key', status: 401, code: 'UNAUTHENTICATED', send: bearing({}), quota: 'fair-use' },
    {
      who: 'another scope',
      status: 403,
      code: 'FORBIDDEN',
      send: bearing({ Authorization: `Bearer ${narrow}` }),
      quota: 'key-day',
    },
  ]
}

interface Broken {
  what: string
  path: string
  body?: string
  headers?: Record<string, string>
}

/** Requests that a holder is refused for something else. */
async function brokenRequests({ path, bodyTypes }: KeyedOperation): Promise<Broken[]> {
  const made = await kindOf(path)!.make(owner, ++nth)
  const target = pathFor(path, made)!
  const broken: Broken[] = [
    { what: 'an unknown query', path: `${target}?limit=none&cursor=%00&lockOut=maybe&retired=perhaps` },
    { what: 'an Accept that nothing meets', path: target, headers: { Accept: 'image/png' } },
    { what: 'what cannot be a header', path: target, headers: { 'If-Match': 'x', 'Idempotency-Key': 'x' } },
  ]
  if (path.includes('{')) broken.push({ what: 'no name', path: path.replace(/\{\w+\}/g, 'x'.repeat(300)) })
  if (bodyTypes.length === 0) return broken
  const typed = (type: string) => ({ 'Content-Type': type })
  return [
    ...broken,
    { what: 'no body', path: target, headers: typed(bodyTypes[0]!) },
    { what: 'a body that is cut off', path: target, body: '{"a":', headers: typed(bodyTypes[0]!) },
    { what: 'a body of no field', path: target, body: '{"surely":"not"}', headers: typed(bodyTypes[0]!) },
    { what: 'a body of another type', path: target, body: '{}', headers: typed('text/plain') },
    { what: 'a body too large', path: target, body: LARGE, headers: typed(bodyTypes[0]!) },
  ]
}

/** Every row of the database but the counts of requests and when keys were used. */
async function everything(): Promise<string> {
  const { rows } = await database.client.execute(
    "select name from sqlite_master where type = 'table' and name <> 'key_usage' order by name",
  )
  const tables = await Promise.all(rows.map(({ name }) => database.client.execute(`select * from "${name}"`)))
  return JSON.stringify(tables.map((table) => table.rows.map(({ last_used_at: _, ...row }) => row)))
}

const leftOf = (headers: Headers, quota: string) =>
  Number(new RegExp(`"${quota}";r=(\\d+)`).exec(headers.get('RateLimit') ?? '')?.[1])

describe.each(OPERATIONS)('$method $path', (operation) => {
  const { method } = operation

  test('is refused for its key whatever else is wrong, at the price of one request, and writes nothing', async () => {
    const requests = await brokenRequests(operation)
    for (const { who, status, code, send, quota } of await refusedSenders(operation)) {
      const before = await everything()
      let left: number | undefined
      for (const { what, path, body, headers } of requests) {
        const answer = await ask(send, method, path, body, headers)
        const title = `${who}, ${what}`
        expect([title, answer.status, answer.body.code]).toEqual([title, status, code])
        expect(operation.statuses, title).toContain(String(status))
        expect(answer.headers.get('WWW-Authenticate'), title).toBe(status === 401 ? 'Bearer' : null)
        expect(answer.headers.get('Cache-Control'), title).toBe('no-store')
        expect(answer.headers.get('Vary')?.split(', ').sort(), title).toEqual(['Accept', 'Authorization'])
        const now = leftOf(answer.headers, quota)
        expect(now, title).toBe(left === undefined ? now : left - 1)
        left = now
      }
      expect(await everything(), who).toBe(before)
    }
  })

  test('is refused to its holder for what is wrong: the requests are broken', async () => {
    const exact = await sendAs(database, `holder-${++nth}`, [operation.scope])
    for (const { what, path, body, headers } of await brokenRequests(operation)) {
      if (what === 'an unknown query' || what === 'what cannot be a header') continue
      const { status } = await ask(exact, method, path, body, headers)
      expect([400, 404, 406, 413, 415, 422, 428], `${what} ${status}`).toContain(status)
    }
  })

  test.runIf(operation.bodyTypes.length > 0)('reads nothing of a body of unstated length', async () => {
    const [{ path } = { path: '' }] = await brokenRequests(operation)
    for (const { who, status, send } of await refusedSenders(operation)) {
      let pulls = 0
      const pull = (controller: ReadableStreamDefaultController) => {
        pulls += 1
        controller.enqueue(new Uint8Array(1024))
      }
      const body = new ReadableStream({ pull }, { highWaterMark: 0 })
      const headers = { 'Content-Type': operation.bodyTypes[0]! }
      const init = { method, headers, body, duplex: 'half' } as RequestInit
      expect([who, (await send(path, init)).status, pulls]).toEqual([who, status, 0])
    }
  })

  test('says that there is no database before anything else', async () => {
    const app = bareApp()
    for (const { what, path, body, headers } of await brokenRequests(operation)) {
      const answer = await ask(async (to, init) => app.request(to, init), method, path, body, headers)
      expect([what, answer.status, answer.body.code]).toEqual([what, 503, 'UNAVAILABLE'])
    }
  })
})
