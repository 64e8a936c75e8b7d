import fc from 'fast-check'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { judgeItem } from '../../src/domain/parts/judge.ts'
import type { Constraint, Item, Requirement } from '../../src/domain/parts/types.ts'
import { createKey, verifyKey } from '../../src/services/keys.ts'
import { putItems } from '../../src/store/catalogue/items.ts'
import { narrowItems } from '../../src/store/catalogue/narrow.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { type Issued, record } from '../support/issued.ts'

const CLASS = 'part-class/vrla-battery-12v'
const LIMIT = 5000
let database: Database
let statements: Issued[]

const number = fc.integer({ min: 0, max: 20 })
const attributes = fc.dictionary(
  fc.constantFrom('nominalVoltageV', 'capacityAh', 'heightMm', 'widthMm', 'terminal', 'colour'),
  fc.oneof(number, fc.constantFrom('F1', 'F2', 'none'), fc.record({ min: number, max: number })),
) as fc.Arbitrary<Item['attributes']>
const items = fc.uniqueArray(
  fc.record({
    sku: fc.stringMatching(/^[0-9a-f]{1,6}$/),
    partClass: fc.constantFrom(CLASS, 'part-class/fuse'),
    title: fc.constant('t'),
    attributes,
    contentHash: fc.stringMatching(/^[0-9a-f]{4}$/),
  }),
  { selector: ({ sku }) => sku, maxLength: 20 },
)
const constraint = fc.oneof(
  fc.record({
    attribute: fc.constantFrom('nominalVoltageV', 'capacityAh', 'heightMm', 'widthMm'),
    op: fc.constantFrom('eq', 'min', 'max', 'range', 'in', 'covers'),
    value: number,
    to: number,
    kind: fc.constantFrom('hard', 'soft'),
    isSafety: fc.boolean(),
    origin: fc.constant('t'),
  }),
  fc.record({
    attribute: fc.constantFrom('terminal', 'colour', 'capacityAh'),
    op: fc.constantFrom('eq', 'in'),
    value: fc.oneof(fc.constantFrom('F1', 'F2'), fc.array(fc.constantFrom('F1', 'F2'), { minLength: 1 })),
    kind: fc.constantFrom('hard', 'soft'),
    isSafety: fc.boolean(),
    origin: fc.constant('t'),
  }),
) as fc.Arbitrary<Constraint>

beforeAll(async () => {
  database = await openDatabase(':memory:')
  statements = record(database)
  await createKey(database, 'north', ['catalogue'], 0)
  await createKey(database, 'south', ['catalogue'], 0)
})
afterAll(() => database.client.close())

test('SQL never leaves out an item that the matcher would list', async () => {
  let run = 0
  await fc.assert(
    fc.asyncProperty(items, fc.array(constraint, { maxLength: 5 }), async (list, constraints) => {
      const shop = `property-${run++}`
      await createKey(database, shop, ['catalogue'], 0)
      await putItems(database, shop, list, 1)
      const requirement: Requirement = { partClass: CLASS, constraints, quantity: 1, adaptersAllowed: false }
      const found = new Set((await narrowItems(database, shop, requirement, LIMIT)).map(({ sku }) => sku))
      const missing = list.filter((item) => judgeItem(requirement, item).verdict !== 'rejected' && !found.has(item.sku))
      expect(missing).toEqual([])
    }),
    { numRuns: 150 },
  )
})

const battery = (sku: string): Item & { contentHash: string } => ({
  sku,
  partClass: CLASS,
  title: 'Standby battery',
  attributes: { nominalVoltageV: 12, capacityAh: 7, terminal: 'F1' },
  stock: 3,
  packQuantity: 1,
  priceMinor: 1890,
  currency: 'EUR',
  contentHash: 'same',
})
const any: Requirement = { partClass: CLASS, constraints: [], quantity: 1, adaptersAllowed: false }

test('an item comes back as it went in', async () => {
  await putItems(database, 'north', [battery('N-1')], 1)
  const { contentHash: _, ...item } = battery('N-1')
  expect(await narrowItems(database, 'north', any, LIMIT)).toEqual([item])
})

test('a shop never sees the items of another', async () => {
  expect((await narrowItems(database, 'north', any, LIMIT)).every(({ sku }) => sku.startsWith('N-'))).toBe(true)
})

test('an import of which one row breaks a constraint writes none of them', async () => {
  const broken = { ...battery('X-2'), title: null as unknown as string }
  await expect(putItems(database, 'north', [battery('X-1'), broken], 1)).rejects.toThrow()
  expect((await narrowItems(database, 'north', any, LIMIT)).some(({ sku }) => sku.startsWith('X-'))).toBe(false)
})

test('every statement on the catalogue names the shop', () => {
  const onItems = statements.filter(({ sql }) => sql.includes('catalogue_items'))
  expect(onItems.length).toBeGreaterThan(100)
  expect(onItems.filter(({ sql }) => !sql.includes('shop_id'))).toEqual([])
})

test('a key opens its own shop and is stored only as a hash', async () => {
  const key = await createKey(database, 'north', ['catalogue'], 1)
  expect(await verifyKey(database, key, 2)).toEqual({ shop: 'north', scopes: ['catalogue'] })
  const { rows } = await database.client.execute('select * from api_keys')
  expect(JSON.stringify(rows)).not.toContain(key.slice(10, 30))
})

test('a key with one letter changed opens nothing', async () => {
  const key = await createKey(database, 'north', ['catalogue'], 1)
  const other = key[12] === 'a' ? 'b' : 'a'
  expect(await verifyKey(database, key.slice(0, 12) + other + key.slice(13), 2)).toBeUndefined()
})
