import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { SCOPES } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import {
  BORROWED,
  type KeyedOperation,
  KINDS,
  keyedOperations,
  kindOf,
  type Made,
  pathFor,
  type Request,
  sendAs,
  withKey,
} from '../support/keyed.ts'
import { ask, bareApp, type Send } from '../support/service.ts'

/** Walks every keyed operation as its owner, as another shop, with too narrow a key and with none. */

const OPERATIONS = keyedOperations(bareApp())
let database: Database
/** A new shop in each test, so that none meets what another has left. */
let shop: string
let north: Send
let count = 0

beforeAll(async () => {
  database = await openDatabase(':memory:')
})
beforeEach(async () => {
  shop = `north-${++count}`
  north = await sendAs(database, shop)
})
afterAll(() => database.client.close())

/** A new thing of the north, and the request of an operation for it. */
async function prepared({ path, operationId }: KeyedOperation) {
  const kind = kindOf(path)!
  count += 1
  const made = await kind.make(north, count)
  const request: Request = (await kind.requests[operationId]?.(made, north)) ?? {}
  return { kind, made, request, target: `${pathFor(path, made)}${request.query ?? ''}` }
}

const perform = (send: Send, { method }: KeyedOperation, target: string, { body, headers }: Request) =>
  ask(send, method, target, body, headers)
const hasMark = ({ marks }: Made, body: unknown) => marks.find((mark) => JSON.stringify(body ?? '').includes(mark))

test('each keyed route belongs to a kind of thing that the walk can make, with a request where it takes a body', () => {
  const unknown = OPERATIONS.filter(({ path, operationId, bodyTypes }) => {
    const kind = kindOf(path)
    return kind === undefined || (bodyTypes.length > 0 && kind.requests[operationId] === undefined)
  })
  expect(unknown.map(({ method, path }) => `add ${method} ${path} to tests/support/keyed.ts`)).toEqual([])
  expect(KINDS.filter(({ under }) => !OPERATIONS.some(({ path }) => path.startsWith(under)))).toEqual([])
})

describe.each(OPERATIONS)('$method $path', (operation) => {
  const isAboutOne = operation.path.includes('{')

  test('answers its owner', async () => {
    const { target, request } = await prepared(operation)
    const { status, body } = await perform(north, operation, target, request)
    expect(status, JSON.stringify(body)).toBeLessThan(300)
    expect(operation.statuses).toContain(String(status))
  })

  test("gives another shop nothing of the owner's and changes nothing of it", async () => {
    const { kind, made, target, request } = await prepared(operation)
    const before = await ask(north, 'GET', kind.readAt(made))
    expect([before.status, hasMark(made, before.body)]).toEqual([200, expect.any(String)])
    const stranger = await sendAs(database, `stranger-${count}`)
    const { status, body } = await perform(stranger, operation, target, request)
    const makesOwn = kind.makesOwn?.includes(operation.operationId) === true
    if (isAboutOne && !makesOwn) expect([status, body?.code]).toEqual([404, 'NOT_FOUND'])
    else expect(status).toBeLessThan(300)
    // The id that was asked for may be named in the refusal; nothing else of the thing may.
    const told = status === 404 ? { ...body, detail: '' } : body
    expect(hasMark(made, told)).toBeUndefined()
    expect((await ask(north, 'GET', kind.readAt(made))).body).toEqual(before.body)
  })

  test('needs a key, and one of its scope', async () => {
    const { target, request } = await prepared(operation)
    const others = SCOPES.filter((scope) => scope !== operation.scope)
    const narrow = await sendAs(database, shop, others)
    expect((await perform(withKey(database), operation, target, request)).status).toBe(401)
    expect((await perform(narrow, operation, target, request)).status).toBe(403)
    const exact = await sendAs(database, shop, [operation.scope])
    expect((await perform(exact, operation, target, request)).status).toBeLessThan(300)
  })

  test('is for no shared cache', async () => {
    const { target, request } = await prepared(operation)
    const { headers } = await perform(north, operation, target, request)
    expect(headers.get('Cache-Control')).toMatch(/private|no-store/)
    expect(headers.get('Vary')?.split(', ').sort()).toEqual(['Accept', ...operation.variesBy, 'Authorization'])
  })
})

const METHODS = ['GET', 'HEAD', 'POST', 'PUT', 'PATCH', 'DELETE', 'QUERY', 'BREW']
const LARGE = `"${'x'.repeat(1024 * 1024)}"`

const patternOf = (path: string) => new RegExp(`^${path.replace(/\{\w+\}/g, '[^/]+')}$`)

/** Methods of a path as the document has them, a fixed name also being one that a parameter could have; HEAD goes with GET. */
function offeredAt(path: string): string[] {
  const own = OPERATIONS.filter((operation) => patternOf(operation.path).test(path)).map(({ method }) => method)
  return [...new Set(own.flatMap((method) => (method === 'GET' ? ['GET', 'HEAD'] : [method])))].sort()
}

/** A refusal is a problem of a status that the document names, with what every answer has. */
function expectRefusal(
  { status, headers, body }: Awaited<ReturnType<typeof ask>>,
  expected: number,
  declared: string[],
) {
  expect([status, body?.status]).toEqual([expected, expected])
  if (expected !== 405) expect(declared).toContain(String(expected))
  expect(headers.get('Content-Type')).toBe('application/problem+json')
  expect(headers.get('Access-Control-Allow-Origin')).toBe('*')
  expect(headers.get('X-Content-Type-Options')).toBe('nosniff')
  expect(body.requestId).toBe(headers.get('X-Request-Id'))
}

describe.each(OPERATIONS)('$method $path refuses, with a problem,', (operation) => {
  test('every method that it does not offer, naming those that it does', async () => {
    const { target } = await prepared(operation)
    const offered = offeredAt(operation.path)
    for (const method of METHODS.filter((method) => !offered.includes(method))) {
      const answer = await ask(north, method, target)
      if (method === 'HEAD') expect(answer.status).toBe(405)
      else expectRefusal(answer, 405, operation.statuses)
      expect(answer.headers.get('Allow')?.split(', ').sort()).toEqual(offered)
    }
  })

  test('to answer as an image', async () => {
    const { target, request } = await prepared(operation)
    const headers = { ...request.headers, Accept: 'image/png' }
    expectRefusal(await perform(north, operation, target, { ...request, headers }), 406, operation.statuses)
  })

  const takesJson = operation.bodyTypes.includes('application/json')
  test.runIf(operation.bodyTypes.length > 0)('a body of another type', async () => {
    const { target, request } = await prepared(operation)
    const headers = { ...request.headers, 'Content-Type': 'text/plain' }
    expectRefusal(await perform(north, operation, target, { body: '{}', headers }), 415, operation.statuses)
  })

  test.runIf(takesJson)('a body that is cut off, too large, or has a field that nobody knows', async () => {
    const { target, request } = await prepared(operation)
    const send = (body: unknown) => perform(north, operation, target, { ...request, body })
    expectRefusal(await send('{"a":'), 400, operation.statuses)
    expectRefusal(await send(LARGE), 413, operation.statuses)
    const unknown = await send({ ...(request.body as object), surely: 'not a field' })
    expectRefusal(unknown, 422, operation.statuses)
    expect(unknown.body.errors[0].pointer).toBe('/surely')
  })

  test.runIf(operation.path.includes('{'))('what is no name of a thing', async () => {
    const { kind, request } = await prepared(operation)
    const isFree = kind.takesAnyName?.includes(operation.operationId) === true
    for (const name of ['__proto__', 'constructor', '..%2f..', '%00', 'x'.repeat(300), "' or 1=1 --"]) {
      const path = operation.path.replace(/\{\w+\}/g, encodeURI(name))
      const answer = await perform(north, operation, path, request)
      if (isFree && answer.status === 200) continue
      expect([404, 405, 412, 422], `${name} ${answer.status}`).toContain(answer.status)
      expect(answer.headers.get('Content-Type')).toBe('application/problem+json')
    }
  })
})

test.each(BORROWED)("$path does not take another shop's thing of $kind by its name", async ({ kind, path, body }) => {
  const made = await kindOf(kind)!.make(north, ++count)
  const sender = await sendAs(database, 'borrower')
  const asked = JSON.stringify(body(made))
  expect((await ask(north, 'POST', path, body(made))).status).toBe(200)
  const refused = await ask(sender, 'POST', path, body(made))
  expect([refused.status, refused.body.errors[0].code]).toEqual([422, 'UNKNOWN_ID'])
  const told = { ...made, marks: made.marks.filter((mark) => !asked.includes(mark)) }
  expect(hasMark(told, refused.body)).toBeUndefined()
})

/** What a shop's catalogue holds decides a match by the key alone; nothing in the request names it. */
test("/v1/parts/match never speaks of another shop's items", async () => {
  const made = await kindOf('/v1/catalogue/items')!.make(north, ++count)
  const wanted = {
    partClass: 'part-class/vrla-battery-12v',
    constraints: [{ attribute: 'nominalVoltageV', op: 'eq', value: 12 }],
  }
  const own = await ask(north, 'POST', '/v1/parts/match', wanted)
  expect([own.status, hasMark(made, own.body)]).toEqual([200, made.marks[0]])
  const stranger = await sendAs(database, `stranger-${count}`)
  const other = await ask(stranger, 'POST', '/v1/parts/match', wanted)
  expect([other.status, hasMark(made, other.body)]).toEqual([200, undefined])
})

describe('an idempotency key is of one shop alone:', () => {
  const bearing = OPERATIONS.filter(({ takesIdempotencyKey, path }) => takesIdempotencyKey && !path.includes('{'))
  test('there are operations that make things under one', () => expect(bearing.length).toBeGreaterThan(1))

  test.each(bearing)('$method $path under the key of another shop makes a thing of its own', async (operation) => {
    const { target, request } = await prepared(operation)
    const headers = { ...request.headers, 'Idempotency-Key': `shared-${count}` }
    const stranger = await sendAs(database, `stranger-${count}`)
    const first = await perform(north, operation, target, { ...request, headers })
    const again = await perform(north, operation, target, { ...request, headers })
    const other = await perform(stranger, operation, target, { ...request, headers })
    expect([first.status, again.status, other.status]).toEqual([201, 201, 201])
    expect(again.body.path).toBe(first.body.path)
    expect(other.body.path).not.toBe(first.body.path)
  })
})

test('a read that states an ETag answers 304 to it, and still is for no shared cache', async () => {
  const { paths } = JSON.parse(readFileSync('openapi/openapi.json', 'utf8'))
  const reads = OPERATIONS.filter(({ method }) => method === 'GET')
  const without: string[] = []
  for (const operation of reads) {
    const { target, request } = await prepared(operation)
    const { headers } = await perform(north, operation, target, request)
    const tag = headers.get('ETag')
    expect([operation.path, '304' in paths[operation.path].get.responses]).toEqual([operation.path, tag !== null])
    if (tag === null) without.push(operation.path)
    else {
      const known = await perform(north, operation, target, { headers: { ...request.headers, 'If-None-Match': tag } })
      expect([operation.path, known.status]).toEqual([operation.path, 304])
      expect(known.headers.get('Cache-Control')).toMatch(/private/)
      expect(known.headers.get('Vary')).toContain('Authorization')
    }
  }
  // A catalogue on its way out is not gathered to be hashed.
  expect(without).toEqual(['/v1/catalogue/export'])
})
