import { afterAll, beforeAll, expect, test } from 'vitest'
import { KeyReusedError, once } from '../../src/services/idempotency.ts'
import { createKey } from '../../src/services/keys.ts'
import { write } from '../../src/store/database.ts'
import { KEY_LIFE_MS } from '../../src/store/idempotency.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'

let database: Database
beforeAll(async () => {
  database = await openDatabase(':memory:')
  for (const shop of ['north', 'south']) await createKey(database, shop, ['calls'], 0)
})
afterAll(() => database.client.close())

let made: string[] = []
const make = (shop: string, key: string, requestHash: string, ref: string, now = 1000) =>
  once(database, { shop, claim: { key, requestHash }, now }, ref, async (first) => {
    await write(database, first)
    made.push(ref)
  })

test('a request sent again makes nothing and names what the first one made', async () => {
  made = []
  expect(await make('north', 'key-one', 'a', 'ref-1')).toEqual({ ref: 'ref-1', isNew: true })
  expect(await make('north', 'key-one', 'a', 'ref-2')).toEqual({ ref: 'ref-1', isNew: false })
  expect(made).toEqual(['ref-1'])
})

test('a key sent with another request is refused', async () => {
  await expect(make('north', 'key-one', 'b', 'ref-3')).rejects.toThrow(KeyReusedError)
})

test('the same key of another shop is another key', async () => {
  expect((await make('south', 'key-one', 'b', 'ref-4')).isNew).toBe(true)
})

test('of twenty equal requests at once one makes something', async () => {
  made = []
  const all = await Promise.all(
    Array.from({ length: 20 }, (_, index) => make('north', 'key-two', 'c', `many-${index}`)),
  )
  expect(made).toHaveLength(1)
  expect(new Set(all.map(({ ref }) => ref))).toEqual(new Set(made))
  expect(all.filter(({ isNew }) => isNew)).toHaveLength(1)
})

test('a key is remembered for two days and then free again', async () => {
  const last = 1000 + KEY_LIFE_MS
  await expect(make('north', 'key-one', 'b', 'ref-5', last)).rejects.toThrow(KeyReusedError)
  expect(await make('north', 'key-one', 'b', 'ref-6', last + 1)).toEqual({ ref: 'ref-6', isNew: true })
})

test('what fails to be made leaves its key free', async () => {
  const claim = { key: 'key-three', requestHash: 'd' }
  const fails = once(database, { shop: 'north', claim, now: 1000 }, 'ref-7', async () =>
    Promise.reject(new Error('no')),
  )
  await expect(fails).rejects.toThrow('no')
  expect((await make('north', 'key-three', 'e', 'ref-8')).isNew).toBe(true)
})
