import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, expect, test } from 'vitest'
import {
  ConnectionError,
  GROUPS,
  InvalidInputError,
  KeyError,
  NotFoundError,
  ServiceError,
  TroubleAtlas,
  TroubleAtlasError,
} from '../../sdk/src/index.ts'
import { createNodeApp } from '../../src/node.ts'
import { createKey } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'

let database: Database
let app: ReturnType<typeof createNodeApp>
const overApp = ((input: string, init: RequestInit) => app.request(input, init)) as typeof fetch
const client = (options: { apiKey?: string; fetch?: typeof fetch } = {}) =>
  new TroubleAtlas({ baseUrl: 'http://atlas.example/', fetch: overApp, ...options })

beforeAll(async () => {
  database = await openDatabase(':memory:')
  app = createNodeApp(database)
})
afterAll(() => database.client.close())

test('diagnoses against the real app and gives the request id', async () => {
  const { value, requestId } = await client().diagnose({
    findings: [{ kind: 'condition', condition: 'condition/mains-missing', state: 'present' }],
  })
  expect(value.causes[0]!.probability).toBeGreaterThan(0.1)
  expect(requestId).toMatch(/^[0-9a-f-]{36}$/)
})

test('sizes a battery', async () => {
  const { value } = await client().sizeBattery({
    method: 'load-charge',
    loads: [{ quantity: 2, standbyCurrent: { value: 90, unit: 'mA' } }],
    standbyDuration: { value: 24, unit: 'h' },
  })
  expect(value.loadCharge).toEqual({ value: 4.32, unit: 'A.h' })
})

test('reads the ontology page by page', async () => {
  const first = (await client().listConcepts('latest', { kind: 'hazard', limit: 5 })).value
  const second = (await client().listConcepts('latest', { kind: 'hazard', limit: 5, cursor: first.next! })).value
  expect(first.items).toHaveLength(5)
  expect(second.items[0]!.id > first.items[4]!.id).toBe(true)
  expect((await client().getConcept('latest', first.items[0]!.id)).value.kind).toBe('hazard')
  expect((await client().getManifest('latest')).value.sha256).toHaveLength(64)
  expect((await client().listReleases()).value.releases.length).toBeGreaterThan(0)
  expect((await client().getCapabilities()).value.limits.findings).toBe(200)
})

test('matches over the catalogue with a key and refuses without', async () => {
  const body = {
    partClass: 'part-class/vrla-battery-12v',
    constraints: [],
    quantity: 1,
    adaptersAllowed: false,
    limit: 10,
  }
  const apiKey = await createKey(database, 'north', ['catalogue'], 0)
  expect((await client({ apiKey }).matchParts(body)).value.isNoMatch).toBe(true)
  await expect(client().matchParts(body)).rejects.toBeInstanceOf(KeyError)
})

test('a refusal is an error that names the field', async () => {
  const call = client().diagnose({
    findings: [{ kind: 'condition', condition: 'condition/nothing', state: 'present' }],
  })
  const error = (await call.catch((thrown: unknown) => thrown)) as InvalidInputError
  expect(error).toBeInstanceOf(InvalidInputError)
  expect(error).toBeInstanceOf(TroubleAtlasError)
  expect(error).toMatchObject({ status: 422, code: 'UNKNOWN_ID', name: 'InvalidInputError' })
  expect(error.errors[0]!.pointer).toBe('/findings/0/condition')
  expect(error.requestId).toBeTruthy()
})

test('what is not there is a NotFoundError', async () => {
  await expect(client().getConcept('latest', 'cause/nothing')).rejects.toBeInstanceOf(NotFoundError)
})

test("a proxy's page is a ServiceError, not a parse error", async () => {
  const broken = new TroubleAtlas({ baseUrl: 'http://x', fetch: async () => new Response('<html>', { status: 502 }) })
  const error = await broken.getCapabilities().catch((thrown: unknown) => thrown)
  expect(error).toBeInstanceOf(ServiceError)
  expect(error).toMatchObject({ status: 502, code: 'UNEXPECTED_ANSWER' })
})

test('a network failure, an abort and a time-out are ConnectionErrors with their cause', async () => {
  const refused = new TroubleAtlas({ baseUrl: 'http://x', fetch: async () => Promise.reject(new TypeError('refused')) })
  await expect(refused.getCapabilities()).rejects.toMatchObject({
    name: 'ConnectionError',
    cause: { message: 'refused' },
  })
  const silent = ((_: string, { signal }: RequestInit) =>
    new Promise((_resolve, reject) =>
      signal!.addEventListener('abort', () => reject(signal!.reason)),
    )) as unknown as typeof fetch
  const slow = new TroubleAtlas({ baseUrl: 'http://x', fetch: silent, timeoutMs: 20 })
  await expect(slow.getCapabilities()).rejects.toBeInstanceOf(ConnectionError)
  const controller = new AbortController()
  const call = new TroubleAtlas({ baseUrl: 'http://x', fetch: silent }).getCapabilities({ signal: controller.signal })
  controller.abort()
  await expect(call).rejects.toBeInstanceOf(ConnectionError)
})

test('there is a method for each operation of the API, by its name', () => {
  const { paths } = JSON.parse(readFileSync('openapi/openapi.json', 'utf8')) as {
    paths: Record<string, Record<string, { operationId: string; tags: string[] }>>
  }
  const operations = Object.values(paths)
    .flatMap((methods) => Object.values(methods))
    .filter(({ tags, operationId }) => !tags.includes('service') || operationId === 'getCapabilities')
    .map(({ operationId }) => operationId)
  expect(operations.filter((name) => !(name in TroubleAtlas.prototype))).toEqual([])
})

test('the groups of methods are those of the API', () => {
  const { paths } = JSON.parse(readFileSync('openapi/openapi.json', 'utf8')) as {
    paths: Record<string, Record<string, { operationId: string; tags: string[] }>>
  }
  const groups: Record<string, string[]> = {}
  for (const { operationId, tags } of Object.values(paths).flatMap((methods) => Object.values(methods)))
    if (operationId in TroubleAtlas.prototype) groups[tags[0]!] = [...(groups[tags[0]!] ?? []), operationId]
  expect(GROUPS).toEqual(groups)
})

test('computations come alone and in batches', async () => {
  const load = { ratedCapacity: { value: 7, unit: 'Ah' }, standbyCurrent: { value: 450, unit: 'mA' } }
  const { value } = await client().estimateBatteryRuntime(load)
  expect(value.standby.low.value).toBeLessThan(value.standby.high.value)
  const wrong = { ...load, standbyCurrent: { value: 0, unit: 'A' } }
  const { results } = (await client().estimateBatteryRuntimes({ items: [load, wrong] })).value
  expect(results.map((result) => Object.keys(result))).toEqual([['value'], ['problem']])
})

test('keeps, reads and takes away an overlay of the shop', async () => {
  const apiKey = await createKey(database, 'south', ['overlays'], 0)
  const shop = client({ apiKey })
  const overlay = {
    overlay: 'south',
    release: (await shop.listReleases()).value.current,
    labels: [{ id: 'condition/mains-missing', altLabels: ['no juice'] }],
  }
  await shop.putOverlay('south', overlay)
  expect((await shop.listOverlays()).value.items.map((item) => item.overlay)).toEqual(['south'])
  expect((await shop.getOverlay('south')).value).toMatchObject({ overlay: 'south' })
  expect((await shop.deleteOverlay('south')).value).toBeUndefined()
  await expect(shop.getOverlay('south')).rejects.toBeInstanceOf(NotFoundError)
})

test('reads what a shop learned and replaces its settings by their ETag', async () => {
  const apiKey = await createKey(database, 'west', ['calls'], 0)
  const shop = client({ apiKey })
  const { value, response } = await shop.getRateSettings()
  const etag = response.headers.get('ETag')!
  expect((await shop.putRateSettings({ ...value, pooling: true }, etag)).value.pooling).toBe(true)
  const stale = shop.putRateSettings(value, etag)
  await expect(stale).rejects.toMatchObject({ status: 412, code: 'PRECONDITION_FAILED' })
  expect((await shop.getRates({ causes: 'all' })).value.basis.rates.id).toBe('published')
  await expect(shop.getKeptRates('learned-0123456789abcdef')).rejects.toBeInstanceOf(NotFoundError)
})

test('imports, searches, exports and edits the shop’s catalogue', async () => {
  const shop = client({ apiKey: await createKey(database, 'south', ['catalogue'], 0) })
  const { value: opened } = await shop.openCatalogueImport({ mode: 'partial' }, { idempotencyKey: 'first-import' })
  expect((await shop.openCatalogueImport({ mode: 'partial' }, { idempotencyKey: 'first-import' })).value.id).toBe(
    opened.id,
  )
  const csv = 'sku,title,part_class\nA,Standby battery 12V,part-class/vrla-battery-12v\n,Nameless,'
  const stream = new Blob([csv]).stream() as ReadableStream<Uint8Array>
  expect((await shop.putCatalogueImportPart(opened.id, 1, stream)).value.received).toBe(2)
  expect((await shop.commitCatalogueImport(opened.id, { parts: 1 })).value.outcome).toMatchObject({ inserted: 1 })
  expect((await shop.getCatalogueImport(opened.id)).value.status).toBe('committed')
  expect((await shop.getCatalogueImportReport(opened.id)).value.totals).toMatchObject({ SKU_MISSING: 1 })
  await expect(shop.dropCatalogueImport(opened.id)).rejects.toBeInstanceOf(NotFoundError)
  expect((await shop.searchCatalogue({ q: 'batery' })).value.hits.map(({ item }) => item.sku)).toEqual(['A'])
  await shop.putCatalogueItem('B/1', { title: 'Lamp', partClass: 'part-class/strobe', attributes: {} })
  expect((await shop.getCatalogueItem('B/1')).value.item.title).toBe('Lamp')
  expect((await shop.listCatalogueItems({ limit: 1 })).value.next).toBeTypeOf('string')
  const text = await new Response((await shop.exportCatalogue('application/x-ndjson')).value).text()
  expect(
    text
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line).sku),
  ).toEqual(['A', 'B/1'])
  expect((await shop.deleteCatalogueItem('B/1')).value).toBeUndefined()
})

test('a release file comes as the bytes of its stated hash, and no others', async () => {
  const { value } = await client().getReleaseFile('latest', 'context.jsonld')
  expect(JSON.parse(new TextDecoder().decode(value))).toHaveProperty('@context')
  const spoilt = (async (input: string, init: RequestInit) => {
    const response = await app.request(input, init)
    return new Response(`${await response.text()} `, response)
  }) as typeof fetch
  const call = client({ fetch: spoilt }).getReleaseFile('latest', 'context.jsonld')
  await expect(call).rejects.toBeInstanceOf(ConnectionError)
})

test('a log comes back line by line, from a text and from a stream that is sent once', async () => {
  const read = async (log: string | ReadableStream<Uint8Array>) => {
    const codes: (string | undefined)[] = []
    for await (const { events } of (await client().streamSignals(log, { scheme: 'dc-05' })).value)
      codes.push(events[0]?.code)
    return codes
  }
  const log = '1234181301000006\n1234181302000005\n'
  expect(await read(log)).toEqual(['301', '302'])
  expect(await read(new Blob([log]).stream() as ReadableStream<Uint8Array>)).toEqual(['301', '302'])
  let attempts = 0
  const down = (async () => {
    attempts++
    throw new TypeError('down')
  }) as typeof fetch
  const call = client({ fetch: down }).streamSignals(new Blob([log]).stream() as ReadableStream<Uint8Array>)
  await expect(call).rejects.toBeInstanceOf(ConnectionError)
  expect(attempts).toBe(1)
})
