import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { isRefused } from '../../src/services/catalogue/imports.ts'
import { cataloguePort } from '../../src/services/catalogue-port.ts'
import { createKey } from '../../src/services/keys.ts'
import { narrowItems } from '../../src/store/catalogue/narrow.ts'
import { indexWaitingItems } from '../../src/store/catalogue/reindex.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { BATTERY, inPieces } from '../support/catalogue.ts'
import { record } from '../support/issued.ts'

const TABLE = /\b(?:from|join|update|into)\s+"?(catalogue_(?:items|imports|import_parts|staged|vocabulary))"?/gi

/** Mentions of a catalogue's tables in a statement, and of the shop that they are narrowed to. */
const mentions = (sql: string) => ({
  tables: [...sql.matchAll(TABLE)].length,
  shops: [...sql.matchAll(/shop_id/g)].length,
})

/** Everything that a shop can do with its catalogue. */
async function useAll(database: Database, shop: string): Promise<void> {
  const port = cataloguePort(database)
  const release = currentRelease()
  const rows = [
    'sku,title,part_class,capacityAh',
    `A,Battery,${BATTERY},7`,
    `B,Other,${BATTERY},9`,
    `A,Twice,${BATTERY},9`,
  ]
  for (const options of [
    { mode: 'partial', maxRetiredFraction: 1 },
    { mode: 'check', maxRetiredFraction: 1 },
    { mode: 'atomic' },
  ] as const) {
    const opened = await port.openImport(shop, options, { key: `key-${options.mode}`, requestHash: options.mode })
    if (isRefused(opened)) throw new Error(opened.why)
    await port.putPart(
      release,
      shop,
      { importId: opened.id, part: 1 },
      { bytes: inPieces(rows.join('\n')), format: 'csv' },
    )
    await port.commitImport(shop, opened.id)
    await port.reportImport(shop, opened.id)
    await port.dropImport(shop, opened.id)
  }
  await port.items.put(release, shop, { sku: 'C', title: 'Third', partClass: BATTERY, attributes: {} })
  await port.items.list(shop, { brand: 'x', gtin14: 'x', isInStock: true, partClass: BATTERY }, '', 9)
  for (const text of ['battery', 'batery', 'A', 'battery zebra 12v'])
    await port.search(shop, text, { partClass: BATTERY, isInStock: false }, 1)
  for await (const _ of port.export(release, shop, 'text/csv', {}));
  await port.items.remove(shop, 'A')
  const origin = { kind: 'hard', isSafety: false, origin: 'test' } as const
  const constraints = [{ attribute: 'capacityAh', op: 'range', value: 7, to: 9, ...origin }] as const
  await narrowItems(database, shop, { partClass: BATTERY, constraints, quantity: 1, adaptersAllowed: false }, 9)
  await indexWaitingItems(database)
}

test('every statement on a catalogue names the shop for each table, and one shop’s use never touches another’s', async () => {
  const database = await openDatabase(':memory:')
  for (const shop of ['north', 'south']) await createKey(database, shop, ['catalogue'], 0)
  await useAll(database, 'south')
  const everything = async () => {
    const tables = ['items', 'imports', 'import_parts', 'staged', 'vocabulary'].map((name) => `catalogue_${name}`)
    const all = await Promise.all(
      tables.map((table) => database.client.execute(`select * from ${table} where shop_id = 'south' order by 1, 2`)),
    )
    return all.map(({ rows }) => rows)
  }
  const before = await everything()
  const issued = record(database)
  await useAll(database, 'north')
  const onCatalogue = issued.filter(({ sql }) => mentions(sql).tables > 0)
  expect(onCatalogue.length).toBeGreaterThan(60)
  expect(onCatalogue.filter(({ sql }) => mentions(sql).shops < mentions(sql).tables).map(({ sql }) => sql)).toEqual([])
  expect(
    onCatalogue.filter(
      ({ args }) => !JSON.stringify(args).includes('north') && !JSON.stringify(args).includes('south'),
    ),
  ).toEqual([])
  expect(await everything()).toEqual(before)
  database.client.close()
})

test('every function of the catalogue’s store that takes a database takes the shop next', () => {
  const folder = 'src/store/catalogue'
  const functions = readdirSync(folder).flatMap((file) => {
    const text = readFileSync(join(folder, file), 'utf8')
    return [...text.matchAll(/function (\w+)\(\s*(?:database|\{ \w+ \}): Database,?\s*(\w*)/g)].map((match) => [
      match[1],
      match[2],
    ])
  })
  expect(functions.length).toBeGreaterThan(20)
  const without = functions.filter(([, next]) => next !== 'shopId').map(([name]) => name)
  // It runs over all shops, one after the other.
  expect(without).toEqual(['indexWaitingItems'])
})
