import { expect, test } from 'vitest'
import { collect, ifChanged, items, TroubleAtlas } from '../../sdk/src/index.ts'
import { offlineAtlas } from '../../sdk/src/offline.ts'
import { bareApp } from '../support/service.ts'

const atlas = offlineAtlas()
const hazards = (limit: number) =>
  items((cursor) =>
    atlas.listConcepts('latest', { kind: 'hazard', limit, ...(cursor === undefined ? {} : { cursor }) }),
  )

test('every item of a list comes once and in order, however long the pages are', async () => {
  const [short, long] = await Promise.all([collect(hazards(4), { limit: 500 }), collect(hazards(200), { limit: 500 })])
  expect(short.map(({ id }) => id)).toEqual(long.map(({ id }) => id))
  expect(short.length).toBeGreaterThan(30)
})

test('no page is fetched that nobody wants', async () => {
  let pages = 0
  const counted = items(async (cursor) => {
    pages++
    return atlas.listConcepts('latest', { kind: 'hazard', limit: 4, ...(cursor === undefined ? {} : { cursor }) })
  })
  expect(await collect(counted, { limit: 6 })).toHaveLength(6)
  expect(pages).toBe(2)
  expect(await collect(hazards(4), { limit: 0 })).toEqual([])
})

test('an unchanged answer is a value that says so, a changed one brings its ETag', async () => {
  const app = bareApp()
  const overApp = (async (input: string, init: RequestInit) => app.request(input, init)) as unknown as typeof fetch
  const client = new TroubleAtlas({ baseUrl: 'http://x', fetch: overApp })
  const first = await ifChanged(undefined, (options) => client.getManifest('latest', options))
  if (!first.changed) throw new Error('the first read must bring an answer')
  expect(first.result.value.sha256).toHaveLength(64)
  expect(await ifChanged(first.etag, (options) => client.getManifest('latest', options))).toEqual({ changed: false })
  const other = await ifChanged('"something-else"', (options) => client.getManifest('latest', options))
  expect(other.changed).toBe(true)
})
