import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { BATTERY } from '../support/catalogue.ts'
import { ask, createNodeApp, type Send } from '../support/service.ts'

let database: Database
let north: Send
let south: Send
let anyone: Send

const as = async (shop: string, scope: 'catalogue' | 'calls' = 'catalogue'): Promise<Send> => {
  const key = await createKey(database, shop, [scope], 0)
  return (path, init) =>
    anyone(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
}
beforeAll(async () => {
  database = await openDatabase(':memory:')
  const app = createNodeApp(database)
  anyone = async (path, init) => app.request(path, init)
  ;[north, south] = [await as('north'), await as('south')]
})
afterAll(() => database.client.close())

const HEADER = 'sku,title,part_class,price,currency,stock,capacityAh,terminal'
const row = (sku: string, title = 'Standby battery', capacity = '7') =>
  `${sku},${title},${BATTERY},18.90,EUR,4,${capacity},F1`
const csv = (...rows: string[]) => [HEADER, ...rows].join('\n')
const open = async (shop: Send, options: object = {}, headers = {}) =>
  (await ask(shop, 'POST', '/v1/catalogue/imports', options, headers)).body
const put = (shop: Send, id: string, part: number, text: string, type = 'text/csv') =>
  ask(shop, 'PUT', `/v1/catalogue/imports/${id}/parts/${part}`, text, { 'Content-Type': type })
const commit = (shop: Send, id: string, body: object = {}) =>
  ask(shop, 'POST', `/v1/catalogue/imports/${id}/commit`, body)
async function imported(shop: Send, text: string, options: object = {}) {
  const { id } = await open(shop, options)
  await put(shop, id, 1, text)
  return commit(shop, id)
}
const skusOf = async (shop: Send, query = '') =>
  (await ask(shop, 'GET', `/v1/catalogue/items${query}`)).body.items.map(
    ({ item }: { item: { sku: string } }) => item.sku,
  )

describe('an import over HTTP', () => {
  test('takes parts in any order, changes nothing until it is committed, and then all at once', async () => {
    const opened = await ask(north, 'POST', '/v1/catalogue/imports', {})
    expect([opened.status, opened.body.status, opened.headers.get('Location')]).toEqual([201, 'open', opened.body.path])
    const { id } = opened.body
    expect((await put(north, id, 2, csv(row('B-2')))).body).toMatchObject({ part: 2, received: 1, errors: 0 })
    expect((await put(north, id, 1, csv(row('B-1'), row('B-3')))).body).toMatchObject({ part: 1, received: 2 })
    expect(await skusOf(north)).toEqual([])
    const { body } = await commit(north, id, { parts: 2 })
    expect(body).toMatchObject({ status: 'committed', received: 3, refused: 0 })
    expect(body.outcome).toEqual({ inserted: 3, updated: 0, unchanged: 0, retired: 0, duplicates: 0 })
    expect(await skusOf(north)).toEqual(['B-1', 'B-2', 'B-3'])
    expect((await commit(north, id)).body).toEqual(body)
  })

  test('the same again changes nothing; what differs is updated', async () => {
    const again = await imported(north, csv(row('B-1'), row('B-2'), row('B-3')))
    expect(again.body.outcome).toMatchObject({ inserted: 0, updated: 0, unchanged: 3 })
    const other = await imported(north, csv(row('B-1', 'Better battery'), row('B-2')))
    expect(other.body.outcome).toMatchObject({ inserted: 0, updated: 1, unchanged: 1 })
  })

  test('a part sent again takes the place of what it was', async () => {
    const { id } = await open(north)
    await put(north, id, 1, csv(row('WRONG')))
    await put(north, id, 1, csv(row('B-4')))
    await commit(north, id)
    expect(await skusOf(north)).toEqual(['B-1', 'B-2', 'B-3', 'B-4'])
  })

  test('is not committed while a part is missing, and says which', async () => {
    const { id } = await open(north)
    await put(north, id, 3, csv(row('B-5')))
    const { status, body } = await commit(north, id)
    expect([status, body.code, body.detail]).toEqual([409, 'IMPORT_INCOMPLETE', expect.stringContaining('1, 2')])
    expect((await commit(north, id, { parts: 4 })).body.detail).toContain('1, 2, 4')
    expect((await ask(north, 'DELETE', `/v1/catalogue/imports/${id}`)).status).toBe(204)
    expect((await ask(north, 'GET', `/v1/catalogue/imports/${id}`)).status).toBe(404)
  })

  test('atomic takes nothing with one error and stays open; partial leaves out what is faulty and says so', async () => {
    const faulty = csv(row('B-6'), row('', 'nameless'), row('B-7', 'Odd', 'many'), row('B-6'))
    const { id } = await open(north)
    await put(north, id, 1, faulty)
    const refused = await commit(north, id)
    expect([refused.status, refused.body.code]).toEqual([409, 'IMPORT_HAS_ERRORS'])
    const report = await ask(north, 'GET', `/v1/catalogue/imports/${id}/report`)
    expect(report.body.findings.map(({ row: at, code, effect }: any) => `${at} ${code} ${effect}`)).toEqual([
      '2 SKU_MISSING row-left-out',
      '3 NUMBER_INVALID value-left-out',
      '4 SKU_DUPLICATE_IN_FILE row-left-out',
    ])
    await put(north, id, 1, csv(row('B-6')))
    expect((await commit(north, id)).body.status).toBe('committed')
    const partial = await imported(north, faulty, { mode: 'partial' })
    expect(partial.body).toMatchObject({
      received: 4,
      refused: 2,
      totals: { SKU_MISSING: 1, NUMBER_INVALID: 1, SKU_DUPLICATE_IN_FILE: 1 },
    })
    expect(partial.body.outcome).toMatchObject({ inserted: 1, unchanged: 1, duplicates: 1 })
    const odd = await ask(north, 'GET', '/v1/catalogue/items/B-7')
    expect(odd.body.item.attributes).toEqual({ terminal: 'F1' })
  })

  test('check tells what would happen and changes nothing', async () => {
    const before = await skusOf(north)
    const { body } = await imported(north, csv(row('B-1', 'Newer'), row('B-9')), { mode: 'check' })
    expect(body).toMatchObject({ status: 'checked', outcome: { inserted: 1, updated: 1, unchanged: 0 } })
    expect(await skusOf(north)).toEqual(before)
  })

  test('replace retires what is not named, within the stated fraction, and an item that comes back is in force again', async () => {
    const all = await skusOf(north)
    const { id } = await open(north, { replace: {} })
    await put(north, id, 1, csv(row(all[0])))
    const refused = await commit(north, id)
    expect([refused.status, refused.body.code]).toEqual([409, 'IMPORT_RETIRES_TOO_MUCH'])
    expect(await skusOf(north)).toEqual(all)
    await put(north, id, 1, csv(...all.slice(1).map((sku: string) => row(sku))))
    expect((await commit(north, id)).body.outcome.retired).toBe(1)
    expect(await skusOf(north)).toEqual(all.slice(1))
    expect(await skusOf(north, '?retired=true')).toEqual([all[0]])
    expect((await imported(north, csv(row(all[0])))).body.outcome).toMatchObject({ updated: 1 })
    expect(await skusOf(north)).toEqual(all)
  })

  test('an idempotency key opens one import, and is refused for another', async () => {
    const headers = { 'Idempotency-Key': 'monday-morning' }
    const [first, second] = [
      await open(south, { mode: 'partial' }, headers),
      await open(south, { mode: 'partial' }, headers),
    ]
    expect(second.id).toBe(first.id)
    const other = await ask(south, 'POST', '/v1/catalogue/imports', { mode: 'atomic' }, headers)
    expect([other.status, other.body.code]).toEqual([422, 'IDEMPOTENCY_KEY_REUSED'])
    expect((await open(north, { mode: 'partial' }, headers)).id).not.toBe(first.id)
    const short = await ask(south, 'POST', '/v1/catalogue/imports', { mode: 'atomic' }, { 'Idempotency-Key': 'short' })
    expect([short.status, short.body.code]).toEqual([400, 'IDEMPOTENCY_KEY_INVALID'])
  })

  test('an idempotency key is free again once its import was dropped', async () => {
    const headers = { 'Idempotency-Key': 'tuesday-morning' }
    const { id } = await open(south, { mode: 'partial' }, headers)
    const others = await open(south, {}, { 'Idempotency-Key': 'wednesday-morning' })
    await ask(south, 'DELETE', `/v1/catalogue/imports/${id}`)
    expect((await open(south, { mode: 'partial' }, headers)).id).not.toBe(id)
    expect((await open(south, {}, { 'Idempotency-Key': 'wednesday-morning' })).id).toBe(others.id)
  })

  test('of equal requests at once one opens, and all answer it, though there is no room for another', async () => {
    const busy = await as('busy')
    for (let count = 0; count < 4; count++) await open(busy)
    const headers = { 'Idempotency-Key': 'all-at-once' }
    const all = await Promise.all(Array.from({ length: 8 }, () => open(busy, {}, headers)))
    expect(new Set(all.map(({ id }) => id)).size).toBe(1)
    expect((await open(busy, {}, { 'Idempotency-Key': 'one-too-many' })).code).toBe('IMPORTS_TOO_MANY')
    await ask(busy, 'DELETE', `/v1/catalogue/imports/${all[0].id}`)
    expect((await open(busy, {}, { 'Idempotency-Key': 'one-too-many' })).status).toBe('open')
  })

  test('more than five open imports are refused', async () => {
    const crowded = await as('crowded')
    for (let count = 0; count < 5; count++) await open(crowded)
    expect((await open(crowded)).code).toBe('IMPORTS_TOO_MANY')
  })

  test('of another shop can be neither seen, filled, committed nor dropped', async () => {
    const { id } = await open(north)
    for (const [method, path, body] of [
      ['GET', '', undefined],
      ['GET', '/report', undefined],
      ['POST', '/commit', {}],
      ['DELETE', '', undefined],
    ] as const)
      expect((await ask(south, method, `/v1/catalogue/imports/${id}${path}`, body)).status).toBe(404)
    expect((await put(south, id, 1, csv(row('X')))).status).toBe(404)
    await ask(north, 'DELETE', `/v1/catalogue/imports/${id}`)
  })

  test('refuses a part that is too large, of another type, or after the end', async () => {
    const { id } = await open(north)
    expect((await put(north, id, 1, `${HEADER}\n${'x'.repeat(11 * 1024 * 1024)}`)).status).toBe(413)
    expect((await put(north, id, 1, '{}', 'application/json')).status).toBe(415)
    expect((await put(north, id, 101, csv(row('B')))).status).toBe(422)
    await put(north, id, 1, csv(row('B-1')))
    await commit(north, id)
    const late = await put(north, id, 1, csv(row('LATE')))
    expect([late.status, late.body.code]).toEqual([409, 'IMPORT_NOT_OPEN'])
    const { rows } = await database.client.execute(
      "select count(*) as left_over from catalogue_staged where shop_id = 'north'",
    )
    expect(rows[0]!.left_over).toBe(0)
  })

  test('needs a key of its scope', async () => {
    expect((await ask(anyone, 'POST', '/v1/catalogue/imports', {})).status).toBe(401)
    expect((await ask(await as('north', 'calls'), 'POST', '/v1/catalogue/imports', {})).status).toBe(403)
  })
})

describe('an item', () => {
  const item = {
    partClass: BATTERY,
    title: 'Small battery',
    attributes: { capacityAh: '1.2 Ah', nominalVoltageV: 12 },
    gtin14: '6291041500213',
    stock: 1,
  }

  test('is put, read, found in lists, and removed, under a SKU with a slash in it', async () => {
    const path = `/v1/catalogue/items/${encodeURIComponent('A/1 b')}`
    const kept = await ask(south, 'PUT', path, item)
    expect([kept.status, kept.body.path, kept.body.item]).toMatchObject([
      200,
      path,
      { gtin14: '06291041500213', attributes: { capacityAh: 1.2 } },
    ])
    expect((await ask(south, 'GET', path)).body.item).toEqual(kept.body.item)
    expect(await skusOf(south, '?gtin=6291041500213&inStock=true')).toEqual(['A/1 b'])
    expect(await skusOf(south, '?inStock=false')).toEqual([])
    expect((await ask(north, 'GET', path)).status).toBe(404)
    expect((await ask(north, 'DELETE', path)).status).toBe(404)
    expect((await ask(south, 'DELETE', path)).status).toBe(204)
    expect((await ask(south, 'GET', path)).status).toBe(404)
  })

  test('is refused with a pointer to what is wrong, and a bad GTIN is only left out', async () => {
    const path = '/v1/catalogue/items/A-2'
    const wrong = await ask(south, 'PUT', path, { ...item, attributes: { capacityAh: 'many' } })
    expect([wrong.status, wrong.body.errors[0].pointer]).toEqual([422, '/attributes/capacityAh'])
    const { body } = await ask(south, 'PUT', path, { ...item, gtin14: '6291041500214' })
    expect([body.item.gtin14, body.warnings[0].code]).toEqual([undefined, 'GTIN_CHECK_DIGIT'])
    expect((await ask(south, 'PUT', path, { ...item, sku: 'B' })).status).toBe(422)
  })

  test('pages follow each other without gap or repetition, and a cursor serves its own filters only', async () => {
    const paged = await as('paged')
    await imported(paged, csv(...Array.from({ length: 23 }, (_, index) => row(`P-${String(index).padStart(2, '0')}`))))
    const seen: string[] = []
    let cursor = ''
    do {
      const { body } = await ask(paged, 'GET', `/v1/catalogue/items?limit=5${cursor && `&cursor=${cursor}`}`)
      seen.push(...body.items.map(({ item }: any) => item.sku))
      cursor = body.next ?? ''
    } while (cursor)
    expect(seen).toEqual(Array.from({ length: 23 }, (_, index) => `P-${String(index).padStart(2, '0')}`))
    const { body } = await ask(paged, 'GET', '/v1/catalogue/items?limit=5')
    expect((await ask(paged, 'GET', `/v1/catalogue/items?inStock=true&cursor=${body.next}`)).status).toBe(422)
    expect((await ask(paged, 'GET', '/v1/catalogue/items?cursor=bnVsbA')).status).toBe(422)
  })
})
