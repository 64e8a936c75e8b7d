import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createClient } from '@libsql/client'
import { afterAll, expect, test } from 'vitest'
import { searchCatalogue } from '../../src/services/catalogue/search.ts'
import { findItem } from '../../src/store/catalogue/items.ts'
import { openDatabase } from '../../src/store/open.ts'
import { EXPECTED_LEVEL } from '../../src/store/schema-level.ts'
import { databaseOfLevel } from '../support/migrations.ts'

const folder = mkdtempSync(join(tmpdir(), 'migrated-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('items of before keep their content, get an id of their own, and are found by their words', async () => {
  const url = `file:${join(folder, 'old.db')}`
  const count = EXPECTED_LEVEL.findIndex(({ tag }) => tag.endsWith('_catalogue'))
  await databaseOfLevel(url, join(folder, 'before'), count)
  const client = createClient({ url })
  await client.execute("insert into shops (id, created_at) values ('corner', 0)")
  for (const sku of ['B', 'A'])
    await client.execute({
      sql: `insert into catalogue_items (shop_id, sku, part_class, title, price_minor, currency, attributes, content_hash, capacity_ah)
values ('corner', ?, 'part-class/vrla-battery-12v', 'Standby battery', 1890, 'EUR', '{"capacityAh":7}', 'old', 7)`,
      args: [sku],
    })
  client.close()
  const database = await openDatabase(url)
  expect((await findItem(database, 'corner', 'A'))!.item).toEqual({
    sku: 'A',
    partClass: 'part-class/vrla-battery-12v',
    title: 'Standby battery',
    attributes: { capacityAh: 7 },
    priceMinor: 1890,
    currency: 'EUR',
  })
  await database.client.execute('vacuum')
  const { hits } = await searchCatalogue(database, 'corner', 'standby 7ah', {}, 9)
  expect(hits.map(({ item }) => item.sku).sort()).toEqual(['A', 'B'])
  database.client.close()
})
