import { isComputation, QUERY_NOTE } from '../../http/offer-query.ts'
import { IS_STREAMED } from '../../http/streamed.ts'
import { nameParts, shareResponses } from './share.ts'

/** What the generator of the document cannot know or gets wrong. */

// biome-ignore lint/suspicious/noExplicitAny: a document is walked, not understood.
type Json = Record<string, any>
interface Operation extends Json {
  description?: string
  security?: Record<string, string[]>[]
  responses: Record<string, Json>
}

const METHODS = ['get', 'put', 'post', 'delete', 'patch'] as const
type Each = (operation: Operation, path: string, method: string) => void

function eachOperation(document: Json, run: Each): void {
  for (const [path, item] of Object.entries<Json>(document.paths))
    for (const method of METHODS) if (item[method]) run(item[method], path, method)
}

/** 3.1 has no key for QUERY on a path, so a computation says so in words and by x-query. */
const sayQuery: Each = (operation, _, method) => {
  const { security, description } = operation
  if (!isComputation({ method: method as 'post', ...(security === undefined ? {} : { security }) })) return
  operation.description = [description, QUERY_NOTE].filter(Boolean).join(' ')
  operation['x-query'] = true
}

/** Every read whose answer is gathered has an ETag and can be asked with If-None-Match. */
const hasTag = (path: string, method: string) => method === 'get' && !IS_STREAMED.test(path)
const sayNotModified: Each = (operation, path, method) => {
  if (hasTag(path, method))
    operation.responses[304] = {
      description: 'What the ETag in If-None-Match stands for is still so',
      'x-component': 'NotModified',
    }
}

const HEADERS: Json = {
  Deprecation: { description: 'Since when the path is deprecated (RFC 9745)', schema: { type: 'string' } },
  ETag: { description: 'Stands for the bytes of the answer, whoever asks', schema: { type: 'string' } },
  RateLimit: { description: 'What is left of each quota: requests r, seconds t', schema: { type: 'string' } },
  'RateLimit-Policy': { description: 'Each quota: its name, requests q, seconds w', schema: { type: 'string' } },
  Sunset: { description: 'From when the path may be gone (RFC 8594)', schema: { type: 'string' } },
  'X-Request-Id': { description: 'Id of the request, to be named in a report', schema: { type: 'string' } },
}

/** Fields that every answer has beside its own. */
const sayHeaders: Each = (operation, path, method) => {
  for (const [status, response] of Object.entries(operation.responses)) {
    const names = ['X-Request-Id', 'RateLimit-Policy', 'RateLimit']
    if (hasTag(path, method) && (status === '200' || status === '304')) names.push('ETag')
    if (operation.deprecated === true) names.push('Deprecation', 'Sunset')
    const referred = Object.fromEntries(names.map((name) => [name, { $ref: `#/components/headers/${name}` }]))
    response.headers = { ...referred, ...response.headers }
  }
}

/** A batch's example is that of its single form, once. */
function exampleOfBatches(document: Json): void {
  eachOperation(document, (operation, path) => {
    if (!path.endsWith('/batch')) return
    const single = document.paths[path.slice(0, -'/batch'.length)].post.requestBody.content['application/json'].schema
    const name = (single.$ref as string).split('/').at(-1)!
    const content = operation.requestBody.content['application/json']
    content.example = { items: [document.components.schemas[name].example] }
  })
}

/** "^a$/u", as the generator writes a pattern with flags, to "^a$". */
const bare = (pattern: string) => /^(.*\$)\/[a-z]+$/.exec(pattern)?.[1] ?? pattern

/**
 * A list of fixed places has exactly these places. Patterns are patterns alone, and do without classes of Unicode, which a
 * validator that reads them without the flag u takes for something else.
 */
function exactSchemas(value: unknown): void {
  if (typeof value !== 'object' || value === null) return
  const schema = value as Json
  if (Array.isArray(schema.prefixItems) && schema.items === undefined) {
    const places = schema.prefixItems.length
    Object.assign(schema, { items: false, minItems: places, maxItems: places })
  }
  if (typeof schema.pattern === 'string')
    schema.pattern = bare(schema.pattern).replaceAll('\\p{Cc}', '\\u0000-\\u001f\\u007f-\\u009f')
  for (const inner of Object.values(schema)) exactSchemas(inner)
}

/** Completes a generated document in its place. */
export function finish(document: Json): void {
  document.components.headers = HEADERS
  for (const run of [sayQuery, sayNotModified, sayHeaders]) eachOperation(document, run)
  shareResponses(document)
  nameParts(document)
  exampleOfBatches(document)
  exactSchemas(document)
}
