import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { ask, type Send } from '../../support/service.ts'
import { closedCall, MAINS, newKey, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
let closed: string
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
  closed = (await closedCall(north)).call
})
// A test sends more than a key may in a minute; its counts begin anew with each.
beforeEach(async () => {
  await shops.database.client.execute('delete from key_usage')
})
afterAll(() => shops.database.client.close())

/** A body of each write that uses every field. */
const FULL: Record<string, object> = {
  findings: { by: 'system', findings: [{ ...MAINS, device: 'hall', id: 'a', source: 'phone', tense: 'now' }] },
  steps: { kind: 'checked', by: 'technician', check: 'check/see-lights-dim', device: 'hall', result: 'steady' },
  advice: { language: 'en-GB', limits: { who: 'handy', tools: ['multimeter'], at: '2026-01-01T00:00:00Z' } },
  notes: { by: 'shop', text: 'x' },
  contact: { contactRef: 'contact-1', reachBy: 'text', callbackDue: '2026-01-01T00:00:00Z' },
  attempts: { reachBy: 'voice', outcome: 'reached' },
  close: { conclusion: 'confirmed', confirmed: [{ cause: 'cause/supply-unplugged', device: 'hall', by: 'said' }] },
}
const FULL_CLOSED: Record<string, object> = {
  'follow-up': { by: 'caller', answer: 'cleared' },
  reopen: { reason: 'came-back' },
}
const HOSTILE = [
  null,
  true,
  [],
  {},
  '',
  '__proto__',
  'constructor',
  0,
  -1,
  1e308,
  '\u0000',
  '\ud800',
  "'; drop table calls; --",
  'x'.repeat(100_000),
]

type Place = (string | number)[]
const places = (value: unknown, at: Place = []): Place[] =>
  typeof value !== 'object' || value === null
    ? [at]
    : [at, ...Object.entries(value).flatMap(([key, inner]) => places(inner, [...at, key]))]

function withAt(value: unknown, [key, ...rest]: Place, put: unknown): unknown {
  if (key === undefined) return put
  if (Array.isArray(value))
    return value.map((inner, index) => (String(index) === String(key) ? withAt(inner, rest, put) : inner))
  return { ...(value as object), [key]: withAt((value as Record<string, unknown>)[String(key)], rest, put) }
}

const write = (id: string, path: string, body: unknown) =>
  ask(north, 'POST', `/v1/calls/${id}/${path}`, JSON.stringify(body), { 'If-Match': '*', 'Idempotency-Key': newKey() })

describe.each(Object.entries(FULL))('%s', (path, full) => {
  test('takes or refuses whatever stands in each of its fields, and what it took can be read', async () => {
    for (const place of places(full))
      for (const put of HOSTILE) {
        const id = (await open(north)).body.call as string
        const { status, body } = await write(id, path, withAt(full, place, put))
        const about = `${place.join('/')} ${String(put).slice(0, 20)} ${body.detail ?? ''}`
        expect([200, 409, 422], about).toContain(status)
        if (status !== 200) continue
        for (const view of ['', '/events', '/notices', '/related'])
          expect((await ask(north, 'GET', `/v1/calls/${id}${view}`)).status, about).toBe(200)
        const sheet = await north(`/v1/calls/${id}/summary`, { headers: { Accept: 'text/html' } })
        expect(sheet.status, about).toBe(200)
      }
  })
})

describe.each(Object.entries(FULL_CLOSED))('%s', (path, full) => {
  test('takes or refuses whatever stands in each of its fields', async () => {
    for (const place of places(full))
      for (const put of HOSTILE) {
        const { status } = await write(closed, path, withAt(full, place, put))
        expect([200, 409, 422]).toContain(status)
      }
  })
})

test('opening a call takes or refuses whatever stands in each of its fields', async () => {
  const full = {
    release: '0.3.0',
    siteRef: 'site-1',
    contactRef: 'contact-1',
    reachBy: 'voice',
    callbackDue: '2026-01-01T00:00:00Z',
  }
  for (const place of places(full))
    for (const put of HOSTILE) {
      const body = JSON.stringify(withAt(full, place, put))
      const { status } = await ask(north, 'POST', '/v1/calls', body, { 'Idempotency-Key': newKey() })
      expect([201, 422]).toContain(status)
    }
})

test('a shop with as many open calls as it may have closes one before it opens another', async () => {
  await shops.database.client.execute(`insert into calls (shop_id, call_id, seq, status, release, opened_at, changed_at)
    select 'south', 'many-' || value, 1, 'open', '0.3.0', 0, ${Date.now()} from generate_series(1, 10000)`)
  const { status, body } = await open(shops.south)
  expect([status, body.code, body.errors[0].limit]).toEqual([409, 'CALL_FULL', 10_000])
  await shops.database.client.execute("update calls set status = 'closed' where call_id = 'many-1'")
  expect((await open(shops.south)).status).toBe(201)
})
