import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { listen } from '../../src/node.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'
import { serveLibsql } from '../support/libsql-over-http.ts'
import { ask, type Send } from '../support/service.ts'
import { add, CONFIRMED, found, MAINS, open } from '../support/shop-calls.ts'
import { startWorker } from '../support/worker.ts'

/** A host of the app with one shop in its database. */
interface Host {
  url: string
  key: string
  stop: () => void | Promise<void>
}

const catalogue = readFileSync('src/tools/demo/catalogue.csv', 'utf8')

async function databaseFile(folder: string) {
  const file = join(folder, 'shop.db')
  const database = await openDatabase(`file:${file}`)
  const key = await createKey(database, 'north', ['catalogue', 'calls'], 0)
  await importCatalogue(database, currentRelease(), 'north', catalogue, false)
  return { file, database, key }
}

async function onNode(folder: string): Promise<Host> {
  const { database, key } = await databaseFile(folder)
  const { url, close } = await listen(database, 0, '127.0.0.1')
  return {
    url,
    key,
    stop: async () => {
      await close()
      database.client.close()
    },
  }
}

async function onWorkerd(folder: string): Promise<Host> {
  const { file, database, key } = await databaseFile(folder)
  database.client.close()
  const remote = await serveLibsql(file, 'token-of-this-test')
  const worker = await startWorker({ DATABASE_URL: remote.url, DATABASE_TOKEN: 'token-of-this-test' })
  return {
    url: worker.url,
    key,
    stop: () => {
      worker.stop()
      remote.close()
    },
  }
}

const FINDINGS = [
  { kind: 'condition', condition: 'condition/mains-missing', state: 'present' },
  { kind: 'condition', condition: 'condition/battery-low', state: 'present' },
  { kind: 'screen', complete: true },
]
const BATTERY = {
  partClass: 'part-class/vrla-battery-12v',
  constraints: [{ attribute: 'capacityAh', op: 'range', value: 7, to: 9 }],
}
const answers: Record<string, unknown> = {}

describe.each([
  ['Node with an embedded file', onNode],
  ['the Worker in workerd with libSQL over HTTP', onWorkerd],
])('%s', (name, start) => {
  const folder = mkdtempSync(join(tmpdir(), 'contract-'))
  let host: Host
  const send: Send = (path, init) => fetch(host.url + path, init)
  beforeAll(async () => {
    host = await start(folder)
  })
  afterAll(async () => {
    await host?.stop()
    rmSync(folder, { recursive: true, force: true })
  })

  test('is alive and ready', async () => {
    expect((await ask(send, 'GET', '/healthz')).status).toBe(200)
    expect((await ask(send, 'GET', '/readyz')).status).toBe(200)
  })

  test('diagnoses', async () => {
    const { status, body } = await ask(send, 'POST', '/v1/diagnose', { findings: FINDINGS })
    expect(status).toBe(200)
    expect(body.causes.length).toBeGreaterThan(3)
    answers[name] = body
  })

  test('sizes a battery', async () => {
    const load = { standbyCurrent: { value: 0.42, unit: 'A' }, alarmCurrent: { value: 3.8, unit: 'A' } }
    const { body } = await ask(send, 'POST', '/v1/battery/size', {
      loads: [load],
      standbyDuration: { value: 24, unit: 'h' },
      alarmDuration: { value: 5, unit: 'min' },
    })
    expect(body.loadCharge.value).toBeCloseTo(10.397, 3)
  })

  test("matches over the shop's catalogue with its key", async () => {
    const { status, body } = await ask(send, 'POST', '/v1/parts/match', BATTERY, {
      Authorization: `Bearer ${host.key}`,
    })
    expect(status).toBe(200)
    expect(body.searched).toBe('catalogue')
    expect(body.fits.map(({ sku }: { sku: string }) => sku)).toEqual(['LK-1272-X', 'LK-1207-F1', 'LK-1209-F2'])
  })

  test('keeps calls: one for one key, one writer on a state, nothing after an erasure', async () => {
    const as: Send = (path, init) =>
      send(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${host.key}` } })
    const [first, again] = await Promise.all([open(as, {}, 'one-key-of-both'), open(as, {}, 'one-key-of-both')])
    expect([first.status, again.body.call]).toEqual([201, first.body.call])
    const { call } = first.body
    const both = await Promise.all(
      [MAINS, FINDINGS[1]!].map((finding) => add(as, call, 'findings', found(finding), '"1"')),
    )
    expect(both.map(({ status }) => status).sort()).toEqual([200, 412])
    expect((await add(as, call, 'advice', {})).body.answer.causes.length).toBeGreaterThan(1)
    expect((await add(as, call, 'close', CONFIRMED)).body.status).toBe('closed')
    const sheet = await as(`/v1/calls/${call}/summary`, { headers: { Accept: 'text/plain' } })
    expect(await sheet.text()).toContain('OUTCOME')
    expect((await (await as('/v1/calls/export', {})).text()).trimEnd().split('\n')).toHaveLength(1)
    expect((await ask(as, 'DELETE', `/v1/calls/${call}`, undefined, { 'If-Match': '*' })).status).toBe(204)
    expect((await ask(as, 'GET', `/v1/calls/${call}`)).status).toBe(410)
  })

  test('refuses the catalogue without a key and with a wrong one', async () => {
    expect((await ask(send, 'POST', '/v1/parts/match', BATTERY)).status).toBe(401)
    const wrong = await ask(send, 'POST', '/v1/parts/match', BATTERY, { Authorization: `Bearer ${host.key}x` })
    expect([wrong.status, wrong.body.code]).toEqual([401, 'UNAUTHENTICATED'])
  })

  test('serves the files of the release as its manifest states them', async () => {
    const { body } = await ask(send, 'GET', '/v1/ontology/latest')
    const { size } = await (await send(`/v1/ontology/${body.release}/files/ontology.json`)).blob()
    expect(size).toBe(body.files.find(({ name: file }: { name: string }) => file === 'ontology.json').bytes)
  })

  test('answers 304 to its own ETag', async () => {
    const etag = (await ask(send, 'GET', '/v1/capabilities')).headers.get('ETag')!
    expect((await ask(send, 'GET', '/v1/capabilities', undefined, { 'If-None-Match': etag })).status).toBe(304)
  })

  test.each([
    ['malformed JSON', '{', 400],
    [
      'a wrong unit',
      { findings: [{ kind: 'reading', reading: 'reading/battery-rest-voltage', quantity: { value: 1, unit: 'h' } }] },
      422,
    ],
    ['2 MB', JSON.stringify({ findings: [], pad: 'x'.repeat(2_000_000) }), 413],
  ])('refuses %s with a problem', async (_, body, status) => {
    const answer = await ask(send, 'POST', '/v1/diagnose', body)
    expect([answer.status, answer.headers.get('Content-Type')]).toEqual([status, 'application/problem+json'])
  })

  test('refuses a path and a method it does not offer', async () => {
    expect((await ask(send, 'GET', '/nothing')).status).toBe(404)
    expect((await ask(send, 'PUT', '/v1/diagnose')).status).toBe(405)
  })
})

/** Numbers become their first twelve digits after the point: another engine may differ in the last place. */
function rounded(value: unknown): unknown {
  if (typeof value === 'number') return Number(value.toFixed(12)) + 0
  if (Array.isArray(value)) return value.map(rounded)
  if (value === null || typeof value !== 'object') return value
  return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, rounded(item)]))
}

test('both hosts give the same diagnosis, in the same order and within 1e-12', () => {
  const [node, edge] = Object.values(answers)
  expect(rounded(edge)).toEqual(rounded(node))
})
