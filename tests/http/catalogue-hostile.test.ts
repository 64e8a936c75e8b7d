import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { LIMITS } from '../../src/http/limits.ts'
import { CsvReader } from '../../src/services/csv.ts'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { BATTERY, codesOf, readFile } from '../support/catalogue.ts'
import { ask, createNodeApp, type Send } from '../support/service.ts'

let database: Database
let shop: Send
beforeAll(async () => {
  database = await openDatabase(':memory:')
  const key = await createKey(database, 'north', ['catalogue'], 0)
  const app = createNodeApp(database)
  shop = async (path, init) =>
    app.request(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
})
afterAll(() => database.client.close())

const LINE = { sku: 'A-1', title: 'Standby battery', partClass: BATTERY }
const opened = async () => (await ask(shop, 'POST', '/v1/catalogue/imports', { mode: 'partial' })).body.id as string
const put = (id: string, text: string, type: string) =>
  ask(shop, 'PUT', `/v1/catalogue/imports/${id}/parts/1`, text, { 'Content-Type': type })

describe('a part of an import', () => {
  test('of more rows than a part may have is refused, and no commit goes without it', async () => {
    const id = await opened()
    const { status, body } = await put(id, 'x\n'.repeat(LIMITS.importPartRows + 1), 'application/x-ndjson')
    expect([status, body.code, body.errors[0].limit]).toEqual([413, 'BODY_TOO_LARGE', LIMITS.importPartRows])
    const commit = await ask(shop, 'POST', `/v1/catalogue/imports/${id}/commit`, {})
    expect([commit.status, commit.body.code]).toEqual([409, 'IMPORT_INCOMPLETE'])
    const full = await put(id, 'x\n'.repeat(LIMITS.importPartRows), 'application/x-ndjson')
    expect([full.status, full.body.received]).toEqual([200, LIMITS.importPartRows])
    await ask(shop, 'DELETE', `/v1/catalogue/imports/${id}`)
  })

  test.each([null, 'abc', 5, [[1, 2]], true])(
    'reads attributes that are %j without a fault of its own',
    async (attributes) => {
      const { items, findings } = await readFile(JSON.stringify({ ...LINE, attributes }), {}, 'ndjson')
      expect(items).toMatchObject([{ sku: 'A-1', attributes: {} }])
      expect(codesOf(findings)).toEqual(attributes === null ? [] : ['/attributes HEADER_UNKNOWN'])
    },
  )

  test('with a header of very many columns is refused before the names are weighed', async () => {
    const { findings, totals } = await readFile(`${'sku,'.repeat(100_000)}title\nA-1\n`, {}, 'csv', 65_536)
    expect(codesOf(findings)).toEqual([' HEADER_TOO_LONG'])
    expect(totals).toEqual({ HEADER_TOO_LONG: 1 })
  })

  test('shows no more of the name of a column than of a value', async () => {
    const { findings } = await readFile(
      `sku,title,part_class,${'x'.repeat(5000)}\nA-1,t,${BATTERY},1\n`,
      {},
      'csv',
      65_536,
    )
    expect(findings.map(({ column, value }) => [column.length, value?.length])).toEqual([[120, 80]])
  })

  test('whose first line never ends is not gathered without limit', () => {
    const reader = new CsvReader()
    expect(() => {
      for (let piece = 0; piece < 40; piece++) reader.push('a'.repeat(65_536))
    }).toThrow(/line 1/)
  })

  test.each(['csv', 'ndjson'] as const)('of %s in tiny pieces takes time with its length only', async (format) => {
    const text = format === 'csv' ? `sku,title,part_class\n"${'a'.repeat(300_000)}` : `"${'a'.repeat(300_000)}`
    const start = performance.now()
    await readFile(text, {}, format, 1)
    // One look at the whole for each piece would take minutes.
    expect(performance.now() - start).toBeLessThan(5000)
  })
})

test('a list of long SKUs under long filters is walked to its end', async () => {
  const brand = '電'.repeat(80)
  const skus = ['0', '1', '2'].map((digit) => '池'.repeat(79) + digit)
  for (const sku of skus)
    await ask(shop, 'PUT', `/v1/catalogue/items/${encodeURIComponent(sku)}`, {
      ...LINE,
      sku,
      attributes: {},
      brand,
    })
  const seen: string[] = []
  const query = new URLSearchParams({ partClass: BATTERY, brand, limit: '1' })
  for (let next: string | undefined = ''; next !== undefined; ) {
    if (next !== '') query.set('cursor', next)
    const { status, body } = await ask(shop, 'GET', `/v1/catalogue/items?${query}`)
    expect(status).toBe(200)
    seen.push(...body.items.map(({ item }: { item: { sku: string } }) => item.sku))
    next = body.next
  }
  expect(seen).toEqual(skus)
})

describe('a search by an attribute', () => {
  const found = async (attribute: string) => {
    const { status, body } = await ask(
      shop,
      'GET',
      `/v1/catalogue/search?${new URLSearchParams({ q: 'siren', attribute })}`,
    )
    return status === 200 ? body.hits.map(({ item }: { item: { sku: string } }) => item.sku) : status
  }
  test.each(['capacityAh:abc', 'capacityAh:1e999', 'capacityAh:NaN'])(
    'that is no number (%s) finds nothing',
    async (attribute) => {
      expect(await found(attribute)).toEqual([])
    },
  )

  test('finds a number that has no column of its own', async () => {
    await ask(shop, 'PUT', '/v1/catalogue/items/S-1', {
      partClass: 'part-class/sounder',
      title: 'Siren',
      attributes: { soundPressureDb: 105 },
    })
    expect(await found('soundPressureDb:105')).toEqual(['S-1'])
    expect(await found('soundPressureDb:106')).toEqual([])
  })
})
