import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { eraseCall } from '../../../src/store/call-erasure.ts'
import { ask, bareApp, type Send } from '../../support/service.ts'
import { add, BATTERY, CONFIRMED, closedCall, found, MAINS, newKey, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
let call: string
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
  call = (await closedCall(north, { siteRef: 'site-1' })).call
})
afterAll(() => shops.database.client.close())

const NOBODYS = '0'.repeat(32)
const BODIES: Record<string, object> = {
  findings: found(MAINS),
  steps: { kind: 'asked', by: 'shop', check: 'check/see-lights-dim' },
  advice: {},
  notes: { by: 'shop', text: 'x' },
  contact: { callbackDue: null },
  attempts: { reachBy: 'voice', outcome: 'reached' },
  close: CONFIRMED,
  'follow-up': { by: 'caller', answer: 'cleared' },
  reopen: { reason: 'came-back' },
}
const WRITES = Object.keys(BODIES)

/** Every published operation on calls, with a path of the given call. */
const ROUTES = bareApp().openAPIRegistry.definitions.flatMap((definition) => {
  if (definition.type !== 'route' || !definition.route.tags?.includes('calls')) return []
  const { method, path, responses, security } = definition.route
  return [{ method: method.toUpperCase(), path, statuses: Object.keys(responses), security }]
})
const OF_ONE = ROUTES.filter(({ path }) => path.includes('{call}'))
const pathOf = (path: string, id: string) => path.replace('{call}', id).replace('{seq}', '3')
const acceptOf = (path: string) =>
  path.endsWith('/summary') ? 'text/html' : path.endsWith('/export') ? 'application/x-ndjson' : 'application/json'
const bodyOf = (path: string) =>
  BODIES[path.split('/').at(-1)!] ?? (path.endsWith('settings') ? { retentionDays: 9 } : {})

async function status(send: Send, method: string, path: string): Promise<number> {
  const headers = {
    Accept: acceptOf(path),
    'If-Match': '*',
    'Idempotency-Key': newKey(),
    'Content-Type': 'application/json',
  }
  const body = method === 'GET' || method === 'DELETE' ? {} : { body: JSON.stringify(bodyOf(path)) }
  return (await send(path, { method, headers, ...body })).status
}

test('the walk over the operations on calls finds them all', () => {
  expect(ROUTES).toHaveLength(22)
  expect(OF_ONE.map(({ path }) => path.split('/')[4]).filter((name) => WRITES.includes(name!))).toHaveLength(10)
})

describe.each(ROUTES)('$method $path', ({ method, path, statuses, security }) => {
  test('is for a key of the scope calls only', async () => {
    const at = pathOf(path, call)
    expect(security).toEqual([{ shopKey: ['calls'] }])
    expect(await status(shops.anyone, method, at)).toBe(401)
    expect(await status(shops.scopeless, method, at)).toBe(403)
    expect(await status(async (one, init) => bareApp().request(one, init), method, at)).toBe(503)
    for (const code of ['401', '403', '503']) expect(statuses).toContain(code)
  })
})

describe.each(OF_ONE)('$method $path', ({ method, path }) => {
  test("answers for another shop's call as for one that never was", async () => {
    const before = (await ask(north, 'GET', `/v1/calls/${call}`)).body
    expect(await status(shops.south, method, pathOf(path, call))).toBe(404)
    expect(await status(shops.south, method, pathOf(path, NOBODYS))).toBe(404)
    expect((await ask(north, 'GET', `/v1/calls/${call}`)).body).toEqual(before)
  })
})

test('the refusals for another shop and for nobody differ in the id alone', async () => {
  const problem = async (id: string) => {
    const { requestId: _id, ...body } = (await ask(shops.south, 'GET', `/v1/calls/${id}`)).body
    return JSON.stringify(body).replaceAll(id, 'ID')
  }
  expect(await problem(call)).toBe(await problem(NOBODYS))
})

test("lists, exports and settings hold nothing of another shop's", async () => {
  expect((await ask(shops.south, 'GET', '/v1/calls?siteRef=site-1')).body).toEqual({ items: [] })
  expect(await (await shops.south('/v1/calls/export', {})).text()).toBe('')
  await ask(north, 'PUT', '/v1/calls/settings', { retentionDays: 30 }, { 'If-Match': '*' })
  expect((await ask(shops.south, 'GET', '/v1/calls/settings')).body).toEqual({ retentionDays: 365 })
})

test("what is found by site, condition and cause is the shop's own, though another has the same", async () => {
  const site = 'site-of-both'
  const theirs = [await closedCall(shops.south, { siteRef: site }), await closedCall(shops.south, { siteRef: site })]
  const mine = (await open(north, { siteRef: site })).body.call as string
  await add(north, mine, 'findings', found(MAINS))
  const related = await ask(north, 'GET', `/v1/calls/${mine}/related`)
  expect(related.body).toEqual({ siteRef: site, calls: [], recurring: [] })
  for (const query of ['condition=condition/mains-missing', 'cause=cause/socket-switched-off', 'status=closed'])
    for (const { call: other } of theirs)
      expect(JSON.stringify((await ask(north, 'GET', `/v1/calls?${query}`)).body)).not.toContain(other)
  const own = await ask(shops.south, 'GET', `/v1/calls/${theirs[0].call}/related`)
  expect(own.body.calls.map(({ call: other }: any) => other)).toEqual([theirs[1].call])
  expect(own.body.calls[0].concepts).toEqual([
    'cause/socket-switched-off',
    'condition/battery-low',
    'condition/mains-missing',
  ])
})

test("an idempotency key of one shop opens nothing of another's", async () => {
  const key = newKey()
  const [mine, theirs] = [await open(north, {}, key), await open(shops.south, {}, key)]
  expect([mine.status, theirs.status]).toEqual([201, 201])
  expect(theirs.body.call).not.toBe(mine.body.call)
})

describe('writing on a state', () => {
  const fresh = async () => (await open(north)).body.call as string

  test.each(WRITES)('%s is refused without If-Match and with that of another state', async (path) => {
    const id = await fresh()
    const missing = await ask(north, 'POST', `/v1/calls/${id}/${path}`, BODIES[path])
    expect([missing.status, missing.body.code]).toEqual([428, 'PRECONDITION_REQUIRED'])
    for (const tag of ['"2"', '"0"', 'W/"1"', '1', '', '"01x"']) {
      const moved = await add(north, id, path, BODIES[path]!, tag)
      expect([moved.status, moved.body.code], tag).toEqual([412, 'PRECONDITION_FAILED'])
    }
    expect((await ask(north, 'GET', `/v1/calls/${id}`)).body.seq).toBe(1)
  })

  test.each(['"1"', '"7", "1"', 'W/"3", "1"', '*'])(
    'If-Match %s lets a write on the first state through',
    async (tag) => {
      expect((await add(north, await fresh(), 'notes', { by: 'shop', text: 'x' }, tag)).status).toBe(200)
    },
  )

  test('of two writers on one state one is told that it moved on, and nothing is lost', async () => {
    const id = await fresh()
    const both = await Promise.all([
      add(north, id, 'findings', found(MAINS), '"1"'),
      add(north, id, 'findings', found(BATTERY), '"1"'),
    ])
    expect(both.map(({ status }) => status).sort()).toEqual([200, 412])
    const loser = both.findIndex(({ status }) => status === 412)
    await add(north, id, 'findings', found([MAINS, BATTERY][loser]!))
    const { body } = await ask(north, 'GET', `/v1/calls/${id}`)
    expect(body.findings.map(({ finding }: any) => finding.condition).sort()).toEqual([
      BATTERY.condition,
      MAINS.condition,
    ])
  })

  test('twenty writers that read anew after each refusal all get their note in, once', async () => {
    const id = await fresh()
    const writer = async (name: string) => {
      for (;;) if ((await add(north, id, 'notes', { by: 'shop', text: name })).status === 200) return
    }
    await Promise.all(Array.from({ length: 20 }, (_, index) => writer(`n${index}`)))
    const { body } = await ask(north, 'GET', `/v1/calls/${id}`)
    expect(body.notes.map(({ text }: any) => text).sort()).toEqual(Array.from({ length: 20 }, (_, n) => `n${n}`).sort())
    expect(body.notes.map(({ seq }: any) => seq)).toEqual(Array.from({ length: 20 }, (_, n) => n + 2))
  })

  test('a write sent again under its key is answered as it was and not doubled', async () => {
    const id = await fresh()
    const key = newKey()
    const first = await add(north, id, 'findings', found(MAINS), '"1"', key)
    await add(north, id, 'notes', { by: 'shop', text: 'later' })
    const again = await add(north, id, 'findings', found(MAINS), '"1"', key)
    expect([again.status, again.body]).toEqual([200, first.body])
    expect((await ask(north, 'GET', `/v1/calls/${id}`)).body).toMatchObject({ seq: 3, findings: [{ finding: MAINS }] })
    const other = await add(north, id, 'findings', found(BATTERY), '"3"', key)
    expect([other.status, other.body.code]).toEqual([422, 'IDEMPOTENCY_KEY_REUSED'])
  })

  test('eight equal writes at once under one key make one event', async () => {
    const id = await fresh()
    const key = newKey()
    const all = await Promise.all(Array.from({ length: 8 }, () => add(north, id, 'advice', {}, '"1"', key)))
    expect(all.map(({ status }) => status)).toEqual(Array(8).fill(200))
    expect(new Set(all.map(({ body }) => JSON.stringify(body))).size).toBe(1)
    expect((await ask(north, 'GET', `/v1/calls/${id}`)).body.advice).toHaveLength(1)
  })

  test('a write that comes after an erasure makes no row', async () => {
    const id = await fresh()
    const [written] = await Promise.all([
      add(north, id, 'notes', { by: 'shop', text: 'too late' }, '"1"'),
      eraseCall(shops.database, 'north', { callId: id, seq: 1, now: 1 }),
    ])
    expect([200, 410, 412]).toContain(written.status)
    const { rows } = await shops.database.client.execute({
      sql: 'select (select count(*) from calls where call_id = ?1) as heads, (select count(*) from call_events where call_id = ?1) as events',
      args: [id],
    })
    expect([0, 2]).toContain(rows[0]!.events)
    expect(Number(rows[0]!.heads)).toBe(Number(rows[0]!.events) / 2)
  })
})

test('no read answers other than as private, and a 304 needs the state that is there', async () => {
  const { headers } = await ask(north, 'GET', `/v1/calls/${call}`)
  const same = await north(`/v1/calls/${call}`, { headers: { 'If-None-Match': headers.get('ETag')! } })
  expect([same.status, same.headers.get('Cache-Control')]).toEqual([304, 'private, no-cache'])
  const other = await north(`/v1/calls/${call}`, { headers: { 'If-None-Match': '"1"' } })
  expect(other.status).toBe(200)
})
