import { afterAll, beforeAll, expect, test } from 'vitest'
import {
  ConnectionError,
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
const client = (options: { apiKey?: string } = {}) =>
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
