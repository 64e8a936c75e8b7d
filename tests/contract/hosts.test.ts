import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import { hostPorts, listen } from '../../src/node.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { FAIR_USE } from '../../src/services/fair-use.ts'
import { importCatalogue } from '../../src/services/import-catalogue.ts'
import { createKey } from '../../src/services/keys.ts'
import { openDatabase } from '../../src/store/open.ts'
import { closeCalls } from '../support/closed-calls.ts'
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
  await closeCalls(
    database,
    'north',
    Array.from({ length: 60 }, (_, at) => ({
      call: `call-${at}`,
      closedAt: Date.UTC(2024, 0, 1) + at * 86_400_000,
      confirmed: [{ cause: at % 3 === 0 ? 'cause/utility-outage' : 'cause/battery-worn-out', by: 'check' }],
      predicted: [{ cause: 'cause/utility-outage', device: 'zone 1', probability: 0.25, prior: 0.0126 }],
    })),
  )
  return { file, database, key }
}

async function onNode(folder: string): Promise<Host> {
  const { database, key } = await databaseFile(folder)
  const { url, close } = await listen(database, 0, '127.0.0.1', hostPorts({ LOG: 'off' }))
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
const learned: Record<string, unknown> = {}

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

  test('learns from the calls that the shop closed, keeps the set, and changes its settings', async () => {
    const headers = { Authorization: `Bearer ${host.key}` }
    const { body } = await ask(send, 'GET', '/v1/rates', undefined, headers)
    expect([body.calls.known, body.calibration[0].calls]).toEqual([60, 60])
    const kept = await ask(send, 'GET', `/v1/rates/${body.basis.rates.id}`, undefined, headers)
    learned[name] = kept.body.set
    const answer = await ask(send, 'POST', '/v1/diagnose', { findings: FINDINGS, rates: 'learned' }, headers)
    expect(answer.body.basis.rates).toEqual(body.basis.rates)
    const { body: settings, headers: read } = await ask(send, 'GET', '/v1/rates/settings', undefined, headers)
    const next = { ...settings, pooling: true }
    const put = await ask(send, 'PUT', '/v1/rates/settings', next, { ...headers, 'If-Match': read.get('ETag')! })
    expect([put.status, put.body]).toEqual([200, next])
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

  test('states what may be asked without a key and with one', async () => {
    const { headers } = await ask(send, 'GET', '/v1/capabilities')
    expect(headers.get('RateLimit-Policy')).toBe('"fair-use";q=300;w=60')
    const keyed = await ask(send, 'GET', '/v1/capabilities', undefined, { Authorization: `Bearer ${host.key}` })
    expect(keyed.headers.get('RateLimit')).toMatch(/^"key-minute";r=\d+;t=\d+, "key-day";r=\d+;t=\d+$/)
    expect(keyed.headers.get('ETag')).toBe(headers.get('ETag'))
  })

  test('answers QUERY as POST, and 304 to its ETag', async () => {
    const [post, query] = [
      await ask(send, 'POST', '/v1/diagnose', { findings: FINDINGS }),
      await ask(send, 'QUERY', '/v1/diagnose', { findings: FINDINGS }),
    ]
    expect([query.status, query.body]).toEqual([200, post.body])
    const condition = { 'If-None-Match': query.headers.get('ETag')! }
    const again = await ask(send, 'QUERY', '/v1/diagnose', { findings: FINDINGS }, condition)
    expect([again.status, again.headers.get('RateLimit-Policy')]).toEqual([304, '"fair-use";q=300;w=60'])
  })

  test('echoes a trace and an id, and says that a path is deprecated', async () => {
    const traceparent = '00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01'
    const { headers } = await ask(send, 'GET', '/healthz', undefined, { traceparent, 'X-Request-Id': 'mine' })
    expect([headers.get('traceparent'), headers.get('X-Request-Id')]).toEqual([traceparent, 'mine'])
    expect([headers.has('Deprecation'), headers.has('Sunset')]).toEqual([true, true])
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

test('both hosts keep the same set of rates', () => {
  const [node, edge] = Object.values(learned)
  expect(edge).toEqual(node)
})

describe('fair use', () => {
  /** Sends until one is refused; returns how many were answered, and the refusal. */
  async function untilRefused(url: string, headers: () => Record<string, string>) {
    for (let answered = 0; answered < FAIR_USE.limit * 2 + 2; answered++) {
      const response = await fetch(`${url}/`, { headers: headers() })
      if (response.status === 429) return { answered, response, body: (await response.json()) as { code: string } }
      await response.body?.cancel()
    }
    throw new Error('nothing was refused')
  }
  const invented = () => ({ 'X-Forwarded-For': `203.0.113.${Math.floor(performance.now() * 1000) % 256}` })

  const RESISTORS = { items: Array(100).fill({ bands: ['yellow', 'violet', 'red', 'gold'] }) }
  /** Sends batches until one is refused; returns how many were answered, and the refusal. */
  async function untilBatchRefused(url: string) {
    for (let answered = 0; answered < 10; answered++) {
      const sent = { method: 'POST', body: JSON.stringify(RESISTORS), headers: { 'Content-Type': 'application/json' } }
      const response = await fetch(`${url}/v1/resistors/identify/batch`, sent)
      const body = (await response.json()) as { code?: string; results?: unknown[] }
      if (response.status === 429) return { answered, response, body }
      expect([response.status, body.results?.length]).toEqual([200, 100])
    }
    throw new Error('nothing was refused')
  }
  /** Three batches of a hundred fill a minute, and as many again may go where it ends on the way. */
  const expectCounted = ({ answered, response, body }: Awaited<ReturnType<typeof untilBatchRefused>>) => {
    expect(answered).toBeGreaterThanOrEqual(Math.floor((FAIR_USE.limit * 0.9) / 100))
    expect(answered).toBeLessThanOrEqual((FAIR_USE.limit / 100) * 2)
    expect([body.code, body.results]).toEqual(['QUOTA_EXCEEDED', undefined])
    expect(Number(response.headers.get('Retry-After'))).toBeLessThanOrEqual(60)
  }

  test('on Node ends at the limit, whatever address a header invents', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'fair-'))
    const { database } = await databaseFile(folder)
    const { url, close } = await listen(database, 0, '127.0.0.1', hostPorts({ LOG: 'off' }))
    const { answered, response, body } = await untilRefused(url, invented)
    // A minute may end on the way, and then the count begins anew.
    expect(answered).toBeGreaterThanOrEqual(FAIR_USE.limit)
    expect(body.code).toBe('QUOTA_EXCEEDED')
    expect(Number(response.headers.get('Retry-After'))).toBeLessThanOrEqual(60)
    expect((await fetch(`${url}/readyz`)).status).toBe(200)
    await close()
    database.client.close()
    rmSync(folder, { recursive: true, force: true })
  })

  test("in workerd is the platform's own limiter, which ends it about there and says so", async () => {
    const worker = await startWorker({ LOG: 'off' })
    const { answered, response, body } = await untilRefused(worker.url, invented)
    expect(answered).toBeGreaterThanOrEqual(FAIR_USE.limit * 0.9)
    expect(body.code).toBe('QUOTA_EXCEEDED')
    expect([response.headers.get('Retry-After'), response.headers.get('RateLimit')]).toEqual(['60', '"fair-use";r=0'])
    expect((await fetch(`${worker.url}/livez`)).status).toBe(200)
    worker.stop()
  })

  test('counts each item of a batch, on Node and in workerd', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'fair-'))
    const { database } = await databaseFile(folder)
    const node = await listen(database, 0, '127.0.0.1', hostPorts({ LOG: 'off' }))
    expectCounted(await untilBatchRefused(node.url))
    await node.close()
    database.client.close()
    rmSync(folder, { recursive: true, force: true })
    const worker = await startWorker({ LOG: 'off' })
    expectCounted(await untilBatchRefused(worker.url))
    worker.stop()
  })

  test('has the same numbers in wrangler.toml as in the code', () => {
    const { limit, windowS } = FAIR_USE
    expect(readFileSync('wrangler.toml', 'utf8')).toContain(`simple = { limit = ${limit}, period = ${windowS} }`)
  })
})

test('a log is one line of JSON a request, without address, query or key', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'log-'))
  const { database, key } = await databaseFile(folder)
  const written: string[] = []
  const log = vi.spyOn(console, 'log').mockImplementation((line: string) => void written.push(line))
  const { url, close } = await listen(database, 0, '127.0.0.1', hostPorts({}))
  await fetch(`${url}/v1/ontology/latest/concepts?q=secretword`, { headers: { Authorization: `Bearer ${key}` } })
  log.mockRestore()
  await close()
  database.client.close()
  rmSync(folder, { recursive: true, force: true })
  expect(written).toHaveLength(1)
  const line = JSON.parse(written[0]!)
  expect(Object.keys(line)).toEqual(['time', 'level', 'requestId', 'method', 'route', 'status', 'ms'])
  expect(written[0]).not.toMatch(/secretword|127\.0\.0\.1|ta_/)
})
