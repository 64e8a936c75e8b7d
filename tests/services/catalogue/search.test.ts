import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Item } from '../../../src/domain/parts/types.ts'
import { searchCatalogue } from '../../../src/services/catalogue/search.ts'
import { createKey } from '../../../src/services/keys.ts'
import { deleteItem, putItems } from '../../../src/store/catalogue/items.ts'
import { type Database, openDatabase } from '../../../src/store/open.ts'
import { BATTERY, withHash } from '../../support/catalogue.ts'

let database: Database
const item = (sku: string, title: string, attributes: Item['attributes'] = {}, more: Partial<Item> = {}): Item => ({
  sku,
  title,
  partClass: BATTERY,
  attributes,
  ...more,
})
const ITEMS = [
  item(
    'LK-1207-F1',
    'Standby battery 12 V 7 Ah',
    { capacityAh: 7, terminal: 'F1' },
    { stock: 4, gtin14: '06291041500213' },
  ),
  item('LK-1209-F2', 'Standby battery 12V 9Ah', { capacityAh: 9, terminal: 'F2' }, { stock: 0, mpn: 'ST9' }),
  item('C-2032', 'Coin cell CR2032', {}, { partClass: 'part-class/lithium-coin-cell' }),
  item('C-2025', 'Coin cell CR2025', {}, { partClass: 'part-class/lithium-coin-cell' }),
  item(
    'T-1',
    'Transformer, plug-in',
    { apparentPowerVA: 20 },
    { partClass: 'part-class/plug-in-supply-ac', brand: 'Lumen' },
  ),
]

beforeAll(async () => {
  database = await openDatabase(':memory:')
  for (const shop of ['north', 'north-2', 'south', 'names']) await createKey(database, shop, ['catalogue'], 0)
  await putItems(database, 'north', withHash(ITEMS), 1)
  const ofClass = (partClass: string) => ({ partClass: `part-class/${partClass}` })
  const named = [
    item('T-2', 'Plug block 16.5V AC', {}, ofClass('plug-in-supply-ac')),
    item('P-1', 'Plug block 16VDC', {}, ofClass('plug-in-supply-dc')),
    item('L-6', 'Round ones', { sizeName: 'LR6' }, ofClass('alkaline-cell')),
    item('L-17', 'Short ones', { sizeName: 'CR17345' }, ofClass('lithium-cell-3v-cylindrical')),
    item('V-9', 'Standby block', { capacityAh: 9 }),
  ]
  await putItems(database, 'names', withHash(named), 1)
  await putItems(database, 'north-2', withHash([item('OTHER', 'Standby battery 12V 7Ah')]), 1)
})
afterAll(() => database.client.close())

const search = (text: string, filter = {}, shop = 'north') => searchCatalogue(database, shop, text, filter, 20)
const skus = async (text: string, filter = {}, shop = 'north') =>
  (await search(text, filter, shop)).hits.map(({ item: { sku } }) => sku)

describe('a search', () => {
  test.each<[string, string[]]>([
    ['standby battery', ['LK-1207-F1', 'LK-1209-F2']],
    ['batt', ['LK-1207-F1', 'LK-1209-F2']],
    ['12V 7Ah', ['LK-1207-F1']],
    ['12 v 7,0 ah', ['LK-1207-F1']],
    ['9 Ah', ['LK-1209-F2']],
    ['CR2032', ['C-2032']],
    ['cr-2032', ['C-2032']],
    ['cr203', []],
    ['CR2035', []],
    ['LK-1209-F2', ['LK-1209-F2']],
    ['6291041500213', ['LK-1207-F1']],
    ['ST9', ['LK-1209-F2']],
    ['lumen transformer', ['T-1']],
    ['20 VA', ['T-1']],
    ['coin cell', ['C-2025', 'C-2032']],
    ['"; drop table -- * ( NEAR', []],
  ])('for %j finds %j', async (text, expected) => {
    expect((await skus(text)).sort()).toEqual([...expected].sort())
  })

  test.each<[string, string[]]>([
    ['16.5vac', ['T-2']],
    ['16.5 V AC', ['T-2']],
    ['16 V DC', ['P-1']],
    ['transformer', ['T-2']],
    ['AA', ['L-6']],
    ['cr123a', ['L-17']],
    ['123A', ['L-17']],
    ['sla 9ah', ['V-9']],
    ['sealed lead acid', ['V-9']],
  ])('knows what else the trade says: %j finds %j', async (text, expected) => {
    expect((await skus(text, {}, 'names')).sort()).toEqual(expected)
  })

  test.each([
    ['batery', 'battery'],
    ['standbye', 'standby'],
    ['tranformer', 'transformer'],
    ['trasnformer', 'transformer'],
  ])('forgives %j for %j and says so', async (asked, meant) => {
    const answer = await search(asked)
    expect(answer.corrections).toEqual([{ asked, meant: [meant] }])
    expect(answer.hits.length).toBeGreaterThan(0)
    expect(answer.hits[0]!.why[0]).toEqual({ asked, found: meant, how: 'spelling', in: 'title' })
  })

  test('says for each word where it was found, and how', async () => {
    const [first] = (await search('stand 12v f1')).hits
    expect(first!.why).toEqual([
      { asked: 'stand', found: 'standby', how: 'beginning', in: 'title' },
      { asked: '12v', found: '12v', how: 'exact', in: 'title' },
      { asked: 'f1', found: 'f1', how: 'exact', in: 'numbers' },
    ])
  })

  test('shows items with some of the words where none has all, and which are missing', async () => {
    const answer = await search('coin cell zebra')
    expect(answer.isPartial).toBe(true)
    expect(answer.hits.map(({ item: { sku } }) => sku).sort()).toEqual(['C-2025', 'C-2032'])
    expect(answer.hits[0]!.why.at(-1)).toEqual({ asked: 'zebra', how: 'missing' })
  })

  test('counts hits by part class and attribute, and narrows by them', async () => {
    const { facets, total } = await search('standby')
    expect([facets.counted, total]).toEqual([2, 2])
    expect(facets.partClasses).toEqual([{ value: BATTERY, count: 2 }])
    expect(facets.attributes).toContainEqual({
      attribute: 'terminal',
      values: [
        { value: 'F1', count: 1 },
        { value: 'F2', count: 1 },
      ],
    })
    expect(await skus('standby', { attributes: { terminal: 'F2' } })).toEqual(['LK-1209-F2'])
    expect(await skus('standby', { attributes: { capacityAh: '7' } })).toEqual(['LK-1207-F1'])
    expect(await skus('standby', { isInStock: true })).toEqual(['LK-1207-F1'])
    expect(await skus('standby', { partClass: 'part-class/fuse-cartridge' })).toEqual([])
  })

  test('never finds the items of another shop, however alike their names are', async () => {
    expect(await skus('standby battery 12v 7ah', {}, 'north-2')).toEqual(['OTHER'])
    expect(await skus('standby battery', {}, 'south')).toEqual([])
    expect((await search('batery', {}, 'south')).corrections).toEqual([])
  })

  test('follows what is changed and removed', async () => {
    await putItems(database, 'south', withHash([item('X', 'Green lamp')]), 1)
    expect(await skus('green', {}, 'south')).toEqual(['X'])
    await putItems(database, 'south', withHash([item('X', 'Red lamp')]), 2)
    expect([await skus('green', {}, 'south'), await skus('red', {}, 'south')]).toEqual([[], ['X']])
    await deleteItem(database, 'south', 'X')
    expect(await skus('lamp', {}, 'south')).toEqual([])
  })
})
