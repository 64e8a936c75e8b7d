import { afterAll, beforeAll, describe, expect, test } from 'vitest'
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
let north: Send
let count = 0

beforeAll(async () => {
  database = await openDatabase(':memory:')
  north = await sendAs(database, 'north')
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
  const unknown = OPERATIONS.filter(({ path, operationId, hasBody }) => {
    const kind = kindOf(path)
    return kind === undefined || (hasBody && kind.requests[operationId] === undefined)
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
    const narrow = await sendAs(database, 'north', others)
    expect((await perform(withKey(database), operation, target, request)).status).toBe(401)
    expect((await perform(narrow, operation, target, request)).status).toBe(403)
    const exact = await sendAs(database, 'north', [operation.scope])
    expect((await perform(exact, operation, target, request)).status).toBeLessThan(300)
  })

  test('is for no shared cache', async () => {
    const { target, request } = await prepared(operation)
    const { headers } = await perform(north, operation, target, request)
    expect(headers.get('Cache-Control')).toMatch(/private|no-store/)
    expect(headers.get('Vary')?.split(', ').sort()).toEqual(['Accept', 'Authorization'])
  })
})

test.each(BORROWED)("$path does not take another shop's thing by its name", async ({ kind, path, body }) => {
  const made = await kindOf(kind)!.make(north, ++count)
  const sender = await sendAs(database, 'borrower')
  expect((await ask(north, 'POST', path, body(made))).status).toBe(200)
  const refused = await ask(sender, 'POST', path, body(made))
  expect(refused.status).toBe(422)
  expect(hasMark(made, refused.body)).toBeUndefined()
})
