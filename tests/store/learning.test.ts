import { afterAll, beforeAll, expect, test } from 'vitest'
import { createKey } from '../../src/services/keys.ts'
import { forgetClearing } from '../../src/store/calls.ts'
import { write } from '../../src/store/database.ts'
import { newestPredictions, outcomesBetween, outcomesMark } from '../../src/store/learning-outcomes.ts'
import { findPool, givenShare, makePool, putShare } from '../../src/store/learning-pools.ts'
import { readSettings, replaceSettings } from '../../src/store/learning-settings.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { closeCalls, eraseCalls } from '../support/closed-calls.ts'

let database: Database
beforeAll(async () => {
  database = await openDatabase(':memory:')
  for (const shop of ['north', 'south', 'west']) await createKey(database, shop, ['calls'], 0)
})
afterAll(() => database.client.close())

async function read(shop: string, from: number, before: number, perDevice: string[] = []) {
  const list = []
  for await (const page of outcomesBetween(database, shop, { from, before }, perDevice)) list.push(...page)
  return list
}
const settings = (version: number, more = {}) => ({
  version,
  learning: true,
  pooling: false,
  countsFrom: null,
  ...more,
})

test('outcomes of a span: its first moment is in it, its last is not, no other shop is', async () => {
  await closeCalls(
    database,
    'north',
    [10, 20, 20, 30].map((closedAt, at) => ({ call: `n${at}`, closedAt, confirmed: [{ cause: 'a', by: 'check' }] })),
  )
  await closeCalls(database, 'south', [{ call: 's', closedAt: 20 }])
  expect((await read('north', 10, 30)).map(({ callId }) => callId)).toEqual(['n0', 'n1', 'n2'])
  expect((await read('north', 20, 31)).map(({ callId }) => callId)).toEqual(['n1', 'n2', 'n3'])
  expect(await outcomesMark(database, 'north', 10, 30)).toBe('3 0 50 20')
  expect(await outcomesMark(database, 'west', 0, 1e15)).toBe('0 0 0 0')
  expect(
    (await newestPredictions(database, 'north', { from: 0, before: 31, limit: 2 })).map((one) => one.closedAt),
  ).toEqual([30, 20])
  await eraseCalls(database, 'north')
  expect(await outcomesMark(database, 'north', 0, 1e15)).toBe('0 0 0 0')
})

test('what tells a lot of outcomes from another changes when a remedy is taken back', async () => {
  await closeCalls(database, 'west', [{ call: 'mended', remedy: 'remedy/a' }, { call: 'other' }])
  const before = await outcomesMark(database, 'west', 0, 1e15)
  await write(database, [forgetClearing('west', 'other')])
  expect(await outcomesMark(database, 'west', 0, 1e15)).toBe(before)
  await write(database, [forgetClearing('south', 'mended')])
  expect(await outcomesMark(database, 'west', 0, 1e15)).toBe(before)
  await write(database, [forgetClearing('west', 'mended')])
  expect(await outcomesMark(database, 'west', 0, 1e15)).not.toBe(before)
  await eraseCalls(database, 'west')
})

test('of what the engine held, the devices that were kept apart are told, and whether one was looked for unnamed', async () => {
  const of = (cause: string, probability: number, device?: string) => ({
    cause,
    probability,
    prior: 0.01,
    ...(device === undefined ? {} : { device }),
  })
  await closeCalls(database, 'west', [
    {
      call: 'a',
      closedAt: 1,
      predicted: [of('cell', 0.1, 'door'), of('lost', 0.1, 'door'), of('cell', 0.1, 'hall'), of('cell', 0)],
    },
    { call: 'b', closedAt: 2, predicted: [of('mains', 0.3), of('cell', 0.2)] },
    { call: 'c', closedAt: 3, predicted: [of('mains', 0.3), of('cell', 0)] },
    { call: 'd', closedAt: 4, predicted: [of('device"s', 0.3)] },
  ])
  const list = await read('west', 0, 10, ['cell', 'lost'])
  expect(list.map(({ devices }) => (JSON.parse(devices) as string[]).sort())).toEqual([['door', 'hall'], [], [], []])
  expect(list.map(({ hasUnnamedDevice }) => hasUnnamedDevice)).toEqual([false, true, false, false])
})

test('settings are replaced once a version, also the first', async () => {
  expect(await readSettings(database, 'north')).toEqual(settings(0))
  expect(await replaceSettings(database, 'north', settings(2))).toBe(false)
  expect(await replaceSettings(database, 'north', settings(1, { pooling: true }))).toBe(true)
  expect(await replaceSettings(database, 'north', settings(1, { learning: false }))).toBe(false)
  expect(await readSettings(database, 'north')).toEqual(settings(1, { pooling: true }))
})

test('a pool is made of those who consent, is kept, and goes with one who leaves but not with a stranger', async () => {
  await replaceSettings(database, 'south', settings(1, { pooling: true }))
  await replaceSettings(database, 'west', settings(1))
  for (const shop of ['north', 'south', 'west']) await putShare(database, shop, `counts of ${shop}`)
  let seen: readonly string[] = []
  const make = () =>
    makePool(database, 7, async (counts) => {
      seen = counts
      return { sha256: 'hash', body: 'pool', given: counts.map((one) => `${one}, given`) }
    })
  expect(await make()).toEqual({ sha256: 'hash', body: 'pool' })
  expect(seen).toEqual(['counts of north', 'counts of south'])
  expect(await givenShare(database, 'north')).toBe('counts of north, given')
  expect(await givenShare(database, 'west')).toBeUndefined()
  await replaceSettings(database, 'west', settings(2, { learning: false }))
  expect(await findPool(database, 7)).toEqual({ sha256: 'hash', body: 'pool' })
  await replaceSettings(database, 'south', settings(2, { pooling: true, learning: false }))
  expect(await findPool(database, 7)).toBeUndefined()
  await make()
  expect(seen).toEqual(['counts of north'])
  expect(await makePool(database, 8, async () => undefined)).toBeUndefined()
})
