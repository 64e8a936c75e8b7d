import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { searchCatalogue } from '../../src/services/catalogue/search.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey, verifyKey } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'
import { serveLibsql } from '../support/libsql-over-http.ts'

const folder = mkdtempSync(join(tmpdir(), 'remote-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('an empty remote database is brought up to date over HTTP and holds what is written', async () => {
  const remote = await serveLibsql(join(folder, 'remote.db'), 'token')
  const database = await openDatabase(remote.url, 'token')
  const key = await createKey(database, 'north', ['catalogue'], 0)
  expect(await verifyKey(database, key, 1)).toEqual({ shop: 'north', scopes: ['catalogue'] })
  database.client.close()
  remote.close()
})

test('a catalogue is imported, counted and searched over HTTP as it is in a file', async () => {
  const remote = await serveLibsql(join(folder, 'catalogue.db'), 'token')
  const database = await openDatabase(remote.url, 'token')
  await createKey(database, 'north', ['catalogue'], 0)
  const csv = (title: string) =>
    `sku,title,part_class\nA,${title},part-class/vrla-battery-12v\nB,Other,part-class/vrla-battery-12v`
  const first = await importCatalogue(database, currentRelease(), 'north', csv('Battery 12V'), false)
  expect(first.outcome).toEqual({ inserted: 2, updated: 0, unchanged: 0, retired: 0, duplicates: 0 })
  const second = await importCatalogue(database, currentRelease(), 'north', csv('Accumulator 12V'), false)
  expect(second.outcome).toMatchObject({ inserted: 0, updated: 1, unchanged: 1 })
  const skus = async (text: string) =>
    (await searchCatalogue(database, 'north', text, {}, 9)).hits.map(({ item }) => item.sku)
  expect([await skus('accum 12 v'), await skus('acumulator')]).toEqual([['A'], ['A']])
  database.client.close()
  remote.close()
})

test('a remote database refuses a wrong token', async () => {
  const remote = await serveLibsql(join(folder, 'guarded.db'), 'token')
  await expect(openDatabase(remote.url, 'guess')).rejects.toThrow()
  remote.close()
})
