import { afterAll, beforeAll, expect, test } from 'vitest'
import { describeImport, openImport } from '../../../src/services/catalogue/imports.ts'
import { createKey } from '../../../src/services/keys.ts'
import { type Database, openDatabase } from '../../../src/store/open.ts'

const MINUTE_MS = 60_000
const OPEN_AT_ONCE = 5

let database: Database
beforeAll(async () => {
  database = await openDatabase(':memory:')
  await createKey(database, 'corner', ['catalogue'], 0)
})
afterAll(() => database.client.close())

const openAt = (id: string, now: number) => openImport(database, 'corner', { mode: 'atomic' }, { id, now })

test('imports that their sender left give way after ten minutes, and not before, once too many are open', async () => {
  for (let number = 0; number < OPEN_AT_ONCE; number++) await openAt(`left-${number}`, number * MINUTE_MS)
  expect(await openAt('early', 9 * MINUTE_MS)).toEqual({ why: 'too-many-open' })
  expect(await describeImport(database, 'corner', 'left-0')).toBeDefined()
  expect(await openAt('late', 11.5 * MINUTE_MS)).toMatchObject({ status: 'open' })
  expect(await describeImport(database, 'corner', 'left-1')).toBeUndefined()
  expect(await describeImport(database, 'corner', 'left-2')).toMatchObject({ status: 'open' })
})
