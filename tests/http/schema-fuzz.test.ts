import { readFileSync } from 'node:fs'
import Ajv from 'ajv/dist/2020.js'
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { arbitraryOf, mutationsOf, resolver, type Schema } from '../support/from-schema.ts'
import { newIdempotencyKey } from '../support/keyed/kind.ts'
import { kindOf, pathFor, sendAs, withKey } from '../support/keyed.ts'
import { ask, type Send } from '../support/service.ts'

/** What the published schemas allow and what they do not, sent to every operation that takes a body. */

const RUNS = 20
const document: Schema = JSON.parse(readFileSync('openapi/openapi.json', 'utf8'))
const resolve = resolver(document)
const ajv = new Ajv.default({ strict: false, validateFormats: false, unicodeRegExp: true })
ajv.addSchema({ $id: 'document', components: document.components })

/** The schema as a validator takes it: references lead into the document. */
const compiled = (schema: Schema) =>
  ajv.compile(JSON.parse(JSON.stringify(schema).replaceAll('"#/components/', '"document#/components/')))

const OPERATIONS = Object.entries<Schema>(document.paths).flatMap(([path, item]) =>
  Object.entries<Schema>(item).flatMap(([method, operation]) => {
    const content = operation.requestBody?.content['application/json']
    return content ? [{ method: method.toUpperCase(), path, operation, content }] : []
  }),
)

let database: Database
let anyone: Send
let count = 0
beforeAll(async () => {
  database = await openDatabase(':memory:')
  anyone = withKey(database)
})
afterAll(() => database.client.close())

type Post = (body: unknown) => ReturnType<typeof ask>

/** Sends bodies to a path that leads to something: in a shop of its own where a key is needed, so that no quota ends. */
async function poster(method: string, path: string, operation: Schema): Promise<Post> {
  const isKeyed = operation.security?.every((need: object) => Object.keys(need).length > 0) === true
  if (isKeyed) {
    const kind = kindOf(path)!
    const send = await sendAs(database, `shop-${++count}`)
    const made = await kind.make(send, count)
    const { headers = {} } = (await kind.requests[operation.operationId]?.(made, send)) ?? {}
    const fresh = () => ('Idempotency-Key' in headers ? newIdempotencyKey() : {})
    return (body) => ask(send, method, pathFor(path, made)!, JSON.stringify(body), { ...headers, ...fresh() })
  }
  const names = (operation.parameters ?? []).filter((one: Schema) => one.in === 'path')
  const params = Object.fromEntries(names.map((one: Schema) => [one.name, one.example ?? one.schema.example]))
  const target = pathFor(path, { params, marks: [] })!
  return (body) => ask(anyone, method, target, JSON.stringify(body))
}

/** The same; what can be done only so often to one thing is done to a new one each time. */
async function tireless(method: string, path: string, operation: Schema): Promise<Post> {
  let post = await poster(method, path, operation)
  return async (body) => {
    const answer = await post(body)
    if (answer.status !== 409) return answer
    post = await poster(method, path, operation)
    return post(body)
  }
}

/** Whether a pointer leads to a field of the body, or to one that its parent could have. */
function leadsInto(pointer: string, body: unknown): boolean {
  const keys = pointer.split('/').slice(1).slice(0, -1)
  let value = body
  for (const key of keys) {
    if (typeof value !== 'object' || value === null) return false
    value = (value as Schema)[key.replaceAll('~1', '/').replaceAll('~0', '~')]
  }
  return pointer === '' || pointer.startsWith('/')
}

function expectAnswer({ status, body, headers }: Awaited<ReturnType<typeof ask>>, sent: unknown, operation: Schema) {
  const title = `${status} ${JSON.stringify(body)?.slice(0, 300)} to ${JSON.stringify(sent)?.slice(0, 500)}`
  expect(status, title).toBeLessThan(500)
  expect(Object.keys(operation.responses), title).toContain(String(status))
  if (status < 400) return
  expect(headers.get('Content-Type'), title).toBe('application/problem+json')
  if (status !== 422) return
  expect(body.errors.length, title).toBeGreaterThan(0)
  for (const { pointer } of body.errors) expect(leadsInto(pointer, sent), `${pointer} ${title}`).toBe(true)
}

const exampleOf = ({ example, schema }: Schema) => example ?? resolve(schema).example

describe.each(OPERATIONS)('$method $path', ({ method, path, operation, content }) => {
  const isValid = compiled(content.schema)

  test('answers or refuses in words whatever its schema allows', async () => {
    const post = await tireless(method, path, operation)
    const counts: Record<string, number> = {}
    const whole = arbitraryOf(content.schema, resolve)
    await fc.assert(
      fc.asyncProperty(whole, async (body) => {
        if (!isValid(body)) return
        const answer = await post(body)
        counts[answer.status] = (counts[answer.status] ?? 0) + 1
        expectAnswer(answer, body, operation)
      }),
      { numRuns: RUNS },
    )
    expect(
      Object.values(counts).reduce((sum, count) => sum + count, 0),
      'some of what is made is valid',
    ).toBeGreaterThanOrEqual(RUNS / 10)
  })

  test('refuses, naming the place, what its schema does not allow', async () => {
    const post = await tireless(method, path, operation)
    let refused = 0
    await fc.assert(
      fc.asyncProperty(mutationsOf(exampleOf(content)), async (body) => {
        const answer = await post(body)
        expectAnswer(answer, body, operation)
        if (isValid(body)) return
        refused += 1
        expect(answer.status, JSON.stringify(body)?.slice(0, 500)).toBe(422)
      }),
      { numRuns: RUNS * 2 },
    )
    expect(refused).toBeGreaterThanOrEqual(RUNS / 10)
  })
})
