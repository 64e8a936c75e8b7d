import { readFileSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { expect } from 'vitest'
import type { z } from 'zod'
import { createApp, type Ports } from '../../src/app.ts'
import { ProblemSchema } from '../../src/http/schema.ts'
import { createNodeApp } from '../../src/node.ts'

/** Sends a request; in-process app and HTTP hosts look alike. */
export type Send = (path: string, init?: RequestInit) => Promise<Response>

interface Published {
  method: string
  pattern: RegExp
  responses: Record<string, { content?: Record<string, { schema: z.ZodType }> }>
}

const openApiDocument = async () => readFileSync('openapi/openapi.json', 'utf8')
const releaseFile: Ports['releaseFile'] = (release, name) =>
  readFile(`ontology/releases/${release}/${name}`).then(
    (bytes) => new Uint8Array(bytes),
    () => undefined,
  )

/** The service without a database. */
export function bareApp() {
  return createApp({ openApiDocument, releaseFile })
}

const published: Published[] = bareApp().openAPIRegistry.definitions.flatMap((definition) =>
  definition.type === 'route'
    ? [
        {
          method: definition.route.method.toUpperCase(),
          pattern: new RegExp(`^${definition.route.path.replace(/\{\w+\}/g, '[^/]+')}$`),
          responses: definition.route.responses as unknown as Published['responses'],
        },
      ]
    : [],
)

function schemaOf(method: string, path: string, response: Response): z.ZodType | undefined {
  const type = response.headers.get('Content-Type')?.split(';')[0] ?? ''
  if (type === 'application/problem+json') return ProblemSchema
  // A computation answers QUERY as it does POST; HEAD has no body to be checked.
  const written = method === 'QUERY' ? 'POST' : method
  const route = published.find(
    (candidate) => candidate.method === written && candidate.pattern.test(path.split('?')[0]!),
  )
  return route?.responses[response.status]?.content?.[type]?.schema
}

/** Sends a request and parses the body, text where it is not JSON, against the published schema; a field too many fails as one too few does. */
export async function ask(
  send: Send,
  method: string,
  path: string,
  body?: unknown,
  headers: Record<string, string> = {},
) {
  const init: RequestInit = { method, headers: { ...headers } }
  if (body !== undefined) {
    init.headers = { 'Content-Type': 'application/json', ...headers }
    init.body = typeof body === 'string' ? body : JSON.stringify(body)
  }
  const response = await send(path, init)
  const text = await response.text()
  if (text === '') return { status: response.status, headers: response.headers, body: undefined }
  const schema = schemaOf(method, path, response)
  const isJson = /^application\/(?:problem\+)?json(?:;|$)/.test(response.headers.get('Content-Type') ?? '')
  const value: unknown = isJson ? JSON.parse(text) : text
  if (path !== '/openapi.json') {
    expect(schema, `${method} ${path} ${response.status} has a published schema`).toBeDefined()
    expect(value, `${method} ${path} answers its published schema, no more and no less`).toEqual(schema!.parse(value))
  }
  return { status: response.status, headers: response.headers, body: value as any }
}

export { createNodeApp }
