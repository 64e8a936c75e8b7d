import { getTableConfig, SQLiteTable } from 'drizzle-orm/sqlite-core'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Overlay } from '../../src/ontology/overlay.ts'
import { shippedProfiles } from '../../src/services/display-profiles.ts'
import { createKey } from '../../src/services/keys.ts'
import { shopPort } from '../../src/services/shop-port.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import * as callTables from '../../src/store/schema/calls.ts'
import * as catalogueTables from '../../src/store/schema/catalogue.ts'
import * as documentTables from '../../src/store/schema/documents.ts'
import * as idempotencyTables from '../../src/store/schema/idempotency.ts'
import * as keyTables from '../../src/store/schema/keys.ts'
import * as learningTables from '../../src/store/schema/learning.ts'
import * as outcomeTables from '../../src/store/schema/outcomes.ts'
import { BATTERY as BATTERY_CLASS } from '../support/catalogue.ts'
import { type Issued, record } from '../support/issued.ts'
import { solarOverlay } from '../support/overlay.ts'
import { ask, createNodeApp } from '../support/service.ts'
import { add, BATTERY, CONFIRMED, found, MAINS, newKey, open } from '../support/shop-calls.ts'

/** A column of a statement: its table, if it is named, and its own name. */
const COLUMN = '(?:"?(\\w+)"?\\.)?"?(\\w+)"?'
const EQUATION = new RegExp(`(?<![\\w".])${COLUMN}\\s*=\\s*${COLUMN}(?![\\w".(])`, 'g')

/**
 * Equations of a column with one of the same name that leave out a table: inside a subselect both sides are then the
 * inner table's, so that the equation holds for every row of every shop.
 */
function equationsWithoutTable(sql: string): string[] {
  // What an update sets is no condition, and has the table on one side only.
  const conditions = sql.replaceAll(/\bset\b[\s\S]*?(?=\bwhere\b|\bfrom\b|$)/gi, '')
  return [...conditions.matchAll(EQUATION)]
    .filter(([, left, a, right, b]) => a === b && (left === undefined || right === undefined))
    .map(([equation]) => equation)
}

let database: Database
let issued: Issued[]
beforeAll(async () => {
  database = await openDatabase(':memory:')
  const scopes = ['admin', 'calls', 'catalogue', 'overlays', 'profiles'] as const
  const key = await createKey(database, 'north', [...scopes], 0)
  issued = record(database)
  const app = createNodeApp(database)
  const north = async (path: string, init: RequestInit = {}) =>
    app.request(path, { ...init, headers: { ...(init.headers as object), Authorization: `Bearer ${key}` } })
  await useCalls(north)
  await useCatalogue(north)
  for (const path of ['/v1/keys', '/v1/overlays', '/v1/profiles', '/v1/rates', '/v1/rates/settings'])
    expect((await ask(north, 'GET', path)).status).toBe(200)
  const made = (await ask(north, 'POST', '/v1/keys', { scopes: ['admin'], label: 'second' })).body
  expect((await ask(north, 'POST', `/v1/keys/${made.id}/rotate`, {})).status).toBe(201)
  expect((await ask(north, 'POST', `/v1/keys/${made.id}/revoke`)).status).toBe(200)
  const settings = { learning: true, pooling: true, countsFrom: null }
  await ask(north, 'PUT', '/v1/rates/settings', settings, { 'If-Match': '*' })
  await ask(north, 'GET', '/v1/rates')
  const { overlays, profiles } = shopPort(database)
  await overlays.put('north', 'own', solarOverlay() as Overlay)
  await profiles.put('north', 'own', [...shippedProfiles().values()][0]!)
  for (const documents of [overlays, profiles]) {
    await documents.read('north', 'own')
    await documents.remove('north', 'own')
  }
})
afterAll(() => database.client.close())

type Send = Parameters<typeof ask>[0]

async function useCalls(send: Send): Promise<void> {
  for (const ending of [CONFIRMED, CONFIRMED, { conclusion: 'gone-by-itself' }]) {
    const { call } = (await open(send, { siteRef: 'site-one' }, newKey())).body
    await add(send, call, 'findings', found(MAINS, BATTERY))
    expect((await add(send, call, 'advice', {}, undefined, newKey())).status).toBe(200)
    await add(send, call, 'close', ending)
    for (const path of ['', '/events', '/related', '/notices', '/replay'])
      expect((await ask(send, 'GET', `/v1/calls/${call}${path}`)).status).toBe(200)
  }
  const filters = `status=closed&siteRef=site-one&condition=${BATTERY.condition}&cause=${CONFIRMED.confirmed[0]!.cause}`
  const { items } = (await ask(send, 'GET', `/v1/calls?${filters}`)).body
  expect(items).toHaveLength(2)
  await add(send, items[0].call, 'follow-up', { by: 'caller', answer: 'came-back' })
  await add(send, items[0].call, 'reopen', { reason: 'came-back' })
  await ask(send, 'DELETE', `/v1/calls/${items[1].call}`, undefined, { 'If-Match': '*' })
  await ask(send, 'PUT', '/v1/calls/settings', { retentionDays: 30 }, { 'If-Match': '*' })
  await (await send('/v1/calls/export')).text()
}

async function useCatalogue(send: Send): Promise<void> {
  const imports = '/v1/catalogue/imports'
  const headers = { 'Idempotency-Key': newKey() }
  const body = { mode: 'partial', replace: { maxRetiredFraction: 1 } }
  const { id } = (await ask(send, 'POST', imports, body, headers)).body
  const csv = `sku,title,part_class,capacityAh\nA,Battery,${BATTERY_CLASS},7\nA,Twice,${BATTERY_CLASS},7`
  await ask(send, 'PUT', `${imports}/${id}/parts/1`, csv, { 'Content-Type': 'text/csv' })
  expect((await ask(send, 'POST', `${imports}/${id}/commit`, {})).body.outcome).toMatchObject({ inserted: 1 })
  for (const path of ['items', 'items?inStock=true', 'items/A', 'search?q=batery&inStock=false', 'search?q=A'])
    expect((await ask(send, 'GET', `/v1/catalogue/${path}`)).status).toBe(200)
  const { id: dropped } = (await ask(send, 'POST', imports, { mode: 'check' })).body
  await ask(send, 'DELETE', `${imports}/${dropped}`)
  const constraints = [
    { attribute: 'capacityAh', op: 'min', value: 5, kind: 'hard', isSafety: false, origin: 't' },
  ] as const
  const requirement = { partClass: BATTERY_CLASS, constraints: [...constraints], quantity: 1, adaptersAllowed: false }
  expect(await shopPort(database).candidates('north', requirement)).toHaveLength(1)
}

test('an equation of a column with itself is recognised, whichever side leaves its table out', () => {
  expect(equationsWithoutTable('select (select n from a where a.shop_id = "shop_id") from b')).toHaveLength(1)
  expect(equationsWithoutTable('select (select n from a where "shop_id" = "b"."shop_id") from b')).toHaveLength(1)
  expect(equationsWithoutTable('select (select n from a where shop_id = shop_id) from b')).toHaveLength(1)
  expect(equationsWithoutTable('select n from a join b on a.shop_id = b.shop_id and "a"."n" = "b"."n"')).toEqual([])
  expect(equationsWithoutTable('update a set n = b.n from b where a.id = b.id and a.shop_id = ?1')).toEqual([])
})

test('no statement of a shop compares a column with itself', () => {
  const texts = [...new Set(issued.map(({ sql }) => sql))]
  expect(texts.flatMap(equationsWithoutTable)).toEqual([])
  // Every table of shops was read or written, so that none was looked at in vain.
  const modules: object[] = [
    callTables,
    catalogueTables,
    documentTables,
    idempotencyTables,
    keyTables,
    learningTables,
    outcomeTables,
  ]
  const tables = modules
    .flatMap((module) => Object.values(module))
    .filter((value) => value instanceof SQLiteTable)
    .map((table) => getTableConfig(table).name)
  expect(tables.length).toBeGreaterThan(15)
  expect(tables.filter((name) => !texts.some((sql) => new RegExp(`\\b${name}\\b`).test(sql)))).toEqual([])
})
