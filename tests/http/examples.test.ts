import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { kindOf, type Made, pathFor, sendAs, withKey } from '../support/keyed.ts'
import type { Send } from '../support/service.ts'

/** Every operation of the document as its own examples say to ask it. */

interface Parameter {
  name: string
  in: string
  required?: boolean
  example?: unknown
  schema: { example?: unknown }
}
interface Content {
  example?: unknown
  schema: { $ref?: string; example?: unknown }
}
const document = JSON.parse(readFileSync('openapi/openapi.json', 'utf8'))
const OPERATIONS = Object.entries<Record<string, any>>(document.paths).flatMap(([path, item]) =>
  Object.entries(item).map(([method, operation]) => ({ method: method.toUpperCase(), path, operation })),
)

let database: Database
let anyone: Send
beforeAll(async () => {
  database = await openDatabase(':memory:')
  anyone = withKey(database)
})
afterAll(() => database.client.close())

const exampleOf = ({ example, schema }: Parameter) => example ?? schema.example
function bodyExample({ example, schema }: Content): unknown {
  const named = schema.$ref && document.components.schemas[schema.$ref.split('/').at(-1)!]
  return example ?? schema.example ?? named?.example
}

/** The path and query that the examples of the parameters make. */
function targetOf(path: string, parameters: Parameter[]): string {
  const inPath = Object.fromEntries(
    parameters.filter((one) => one.in === 'path').map((one) => [one.name, `${exampleOf(one)}`]),
  )
  const query = parameters
    .filter((one) => one.in === 'query' && (one.required || exampleOf(one) !== undefined))
    .map((one) => `${one.name}=${encodeURIComponent(`${exampleOf(one)}`)}`)
  return pathFor(path, { params: inPath, marks: [] }) + (query.length > 0 ? `?${query.join('&')}` : '')
}

interface Operation {
  operationId: string
  security?: object[]
  parameters?: Parameter[]
}
const isKeyed = ({ security }: { security?: object[] }) =>
  security?.every((need) => Object.keys(need).length > 0) === true

let nth = 0
/** The example's path, or that of a thing that was just made where only its owner can know it. */
async function addressed(path: string, operation: Operation) {
  const parameters = operation.parameters ?? []
  if (!isKeyed(operation)) return { send: anyone, target: targetOf(path, parameters), headers: {} }
  const kind = kindOf(path)!
  const owner = await sendAs(database, `north-${++nth}`)
  const made: Made = await kind.make(owner, nth)
  const { headers = {} } = (await kind.requests[operation.operationId]?.(made, owner)) ?? {}
  const query = parameters.filter((one) => one.in === 'query')
  return { send: owner, target: pathFor(path, made)! + targetOf('', query), headers }
}

test.each(OPERATIONS)('$method $path answers its example', async ({ method, path, operation }) => {
  for (const parameter of (operation.parameters ?? []) as Parameter[])
    if (parameter.required) expect([parameter.name, exampleOf(parameter)]).toEqual([parameter.name, expect.anything()])
  const contents = Object.entries<Content>(operation.requestBody?.content ?? { none: { schema: {} } })
  for (const [type, content] of contents) {
    const { send, target, headers } = await addressed(path, operation)
    const body = type === 'none' ? undefined : bodyExample(content)
    expect(type === 'none' || body !== undefined, `${method} ${path} has an example of ${type}`).toBe(true)
    const text = typeof body === 'string' ? body : JSON.stringify(body)
    const response = await send(target, {
      method,
      headers: { ...headers, ...(body === undefined ? {} : { 'Content-Type': type }) },
      ...(body === undefined ? {} : { body: text }),
    })
    const answer = await response.text()
    expect(response.status, `${method} ${target}: ${answer.slice(0, 500)}`).toBeLessThan(300)
    expect(Object.keys(operation.responses)).toContain(String(response.status))
  }
})
