import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { currentRelease } from '../../../src/ontology/release.ts'
import { ask, type Send } from '../../support/service.ts'
import { add, closedCall, found, MAINS, newKey, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
})
afterAll(() => shops.database.client.close())
afterEach(() => vi.useRealTimers())

/** Every row of every table as text, but for the keys. */
async function dump(): Promise<string> {
  const { client } = shops.database
  const tables = await client.execute("select name from sqlite_master where type = 'table'")
  const all = await Promise.all(tables.rows.map(({ name }) => client.execute(`select * from "${name}"`)))
  return JSON.stringify(all.map(({ rows }) => rows.map((row) => ({ ...row }))))
}
const erase = (call: string, ifMatch?: string) =>
  ask(north, 'DELETE', `/v1/calls/${call}`, undefined, ifMatch === undefined ? {} : { 'If-Match': ifMatch })

describe('DELETE /v1/calls/{call}', () => {
  const MARKS = ['site-erase-me', 'contact-erase-me', 'device erase me', 'note erase me', 'source erase me']

  async function telling() {
    const { call } = (await open(north, { siteRef: MARKS[0], contactRef: MARKS[1] })).body
    const missing = { kind: 'condition', condition: 'condition/radio-device-missing', state: 'present' }
    await add(north, call, 'findings', found({ ...missing, device: MARKS[2], source: MARKS[4] }), undefined, newKey())
    await add(north, call, 'notes', { by: 'shop', text: MARKS[3]! })
    await add(north, call, 'advice', {}, undefined, newKey())
    const closed = await add(north, call, 'close', { conclusion: 'not-confirmed', confirmed: [] })
    return { call: call as string, closed }
  }

  test('leaves no content in any table, and the learning without it', async () => {
    const { call, closed } = await telling()
    expect(closed.status).toBe(200)
    const before = await dump()
    for (const mark of MARKS) expect(before).toContain(mark)
    expect((await erase(call, closed.headers.get('ETag')!)).status).toBe(204)
    const after = await dump()
    for (const mark of MARKS) expect(after).not.toContain(mark)
    const named = (await shops.database.client.execute('select * from call_tombstones')).rows
    expect(named.map((row) => ({ ...row }))).toEqual([
      { shop_id: 'north', call_id: call, erased_at: expect.any(Number), reason: 'asked' },
    ])
    // The id stands in the tombstone and nowhere else.
    expect(after.split(call)).toHaveLength(2)
  })

  test('is answered as gone afterwards, whatever is asked of it', async () => {
    const { call } = await closedCall(north)
    await erase(call, '*')
    for (const path of ['', '/events', '/replay', '/notices', '/related', '/advice/3'])
      expect((await ask(north, 'GET', `/v1/calls/${call}${path}`)).status, path).toBe(410)
    expect((await add(north, call, 'findings', found(MAINS), '*')).status).toBe(410)
    expect((await erase(call, '*')).status).toBe(410)
    expect((await ask(shops.south, 'GET', `/v1/calls/${call}`)).status).toBe(404)
  })

  test('needs the state that is there', async () => {
    const { call } = (await open(north)).body
    expect([(await erase(call)).status, (await erase(call, '"2"')).status]).toEqual([428, 412])
    expect((await ask(north, 'GET', `/v1/calls/${call}`)).status).toBe(200)
  })
})

describe('the time for which calls are kept', () => {
  const DAY = 86_400_000
  const setDays = (send: Send, days: unknown, ifMatch?: string) =>
    ask(
      send,
      'PUT',
      '/v1/calls/settings',
      { retentionDays: days },
      ifMatch === undefined ? {} : { 'If-Match': ifMatch },
    )

  test('is a year until the shop says otherwise, building on what it was', async () => {
    const { body, headers } = await ask(shops.south, 'GET', '/v1/calls/settings')
    expect(body).toEqual({ retentionDays: 365 })
    expect((await setDays(shops.south, 30, headers.get('ETag')!)).body).toEqual({ retentionDays: 30 })
    expect((await setDays(shops.south, 20, headers.get('ETag')!)).status).toBe(412)
    expect((await ask(shops.south, 'GET', '/v1/calls/settings')).body).toEqual({ retentionDays: 30 })
  })

  test.each([0, 3651, 1.5, '30'])('is refused as %j days', async (days) => {
    const { status, body } = await setDays(north, days, '*')
    expect([status, body.errors[0].pointer]).toEqual([422, '/retentionDays'])
  })

  test('is refused without saying what it replaces', async () => {
    expect((await setDays(north, 30)).status).toBe(428)
  })

  test('ends a call that nothing was added to for longer, with the next list, and only that', async () => {
    const { call: old } = (await open(north, { siteRef: 'site-old' })).body
    const { call: used } = (await open(north, { siteRef: 'site-used' })).body
    await setDays(north, 10, '*')
    vi.useFakeTimers({ now: Date.now() + 6 * DAY, toFake: ['Date'] })
    await add(north, used, 'notes', { by: 'shop', text: 'still going' })
    vi.setSystemTime(Date.now() + 5 * DAY)
    await ask(north, 'GET', '/v1/calls')
    expect((await ask(north, 'GET', `/v1/calls/${old}`)).status).toBe(410)
    expect((await ask(north, 'GET', `/v1/calls/${used}`)).status).toBe(200)
    expect(await dump()).not.toContain('site-old')
  })
})

describe('GET /v1/calls/export', () => {
  test('gives every call with its log and answers, one to a line, and a tag that moves with them', async () => {
    const { call } = await closedCall(shops.south, { siteRef: 'site-9' })
    await open(shops.south)
    const response = await shops.south('/v1/calls/export', {})
    expect(response.headers.get('Content-Type')).toBe('application/x-ndjson')
    const lines = (await response.text())
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line))
    expect(lines).toHaveLength(2)
    const line = lines.find((one) => one.call === call)
    expect(line.events.map(({ kind }: any) => kind)).toEqual(['opened', 'found', 'advised', 'closed'])
    expect(line.answers[0].answer.basis.release).toBe(currentRelease().version)
    const tag = response.headers.get('ETag')!
    const again = await shops.south('/v1/calls/export', { headers: { 'If-None-Match': tag } })
    expect(again.status).toBe(304)
    await open(shops.south)
    expect((await shops.south('/v1/calls/export', {})).headers.get('ETag')).not.toBe(tag)
  })
})
