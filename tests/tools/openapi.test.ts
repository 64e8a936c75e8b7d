import { spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { breaksBetween } from '../../src/tools/openapi/breaking.ts'
import { acceptedBreaks, lastReleased } from '../../src/tools/openapi/released.ts'

const current = JSON.parse(readFileSync('openapi/openapi.json', 'utf8'))
const json = (schema: object) => ({ content: { 'application/json': { schema } } })

/** A document of one operation. */
function documentOf(request: object, answer: object, rest: object = {}, components: object = {}) {
  const post = { requestBody: json(request), responses: { 200: json(answer) }, ...rest }
  return { paths: { '/x': { post } }, components: { schemas: components } }
}
const object = (properties: object, required: string[] = [], rest: object = {}) => ({
  type: 'object',
  properties,
  required,
  ...rest,
})
const rules = (before: object, after: object) => breaksBetween(before, after).map(({ at, rule }) => `${at}: ${rule}`)
const sent = (before: object, after: object) => rules(documentOf(before, {}), documentOf(after, {}))
const answered = (before: object, after: object) => rules(documentOf({}, before), documentOf({}, after))
const text = { type: 'string' }

describe('the comparison with a released document', () => {
  test('finds nothing between a document and itself', () => {
    expect(breaksBetween(current, current)).toEqual([])
  })

  test('finds a path and an operation that are gone', () => {
    const { '/v1/diagnose': _, ...paths } = current.paths
    expect(rules(current, { ...current, paths })).toEqual(['/v1/diagnose: path removed'])
    expect(rules(documentOf({}, {}), { paths: { '/x': {} } })).toEqual(['POST /x: operation removed'])
  })

  test.each<[string, object, object, string]>([
    [
      'a new required field',
      object({ a: text }),
      object({ a: text, b: text }, ['b']),
      '/b: field of the request now required',
    ],
    ['a field now required', object({ a: text }), object({ a: text }, ['a']), '/a: field of the request now required'],
    [
      'a field that is refused now',
      object({ a: text }),
      object({}, [], { additionalProperties: false }),
      '/a: field of the request no longer taken',
    ],
    ['a narrowed list', { enum: ['a', 'b'] }, { enum: ['a', 'c'] }, ': values no longer taken: b'],
    ['a list where anything went', text, { type: 'string', enum: ['a'] }, ': any value narrowed to a list'],
    ['a lower maximum', { maximum: 5 }, { maximum: 4 }, ': maximum tightened from 5 to 4'],
    ['a new maximum', { type: 'number' }, { type: 'number', maximum: 4 }, ': maximum tightened from none to 4'],
    ['a higher minimum', { minLength: 1 }, { minLength: 2 }, ': minLength tightened from 1 to 2'],
    ['another pattern', { pattern: 'a' }, { pattern: 'b' }, ': pattern changed'],
    ['another type', text, { type: 'number' }, ': type changed from string to number'],
    ['whole numbers only', { type: 'number' }, { type: 'integer' }, ': type changed from number to integer'],
    [
      'a limit deep inside',
      { type: 'array', items: object({ a: { maxLength: 9 } }) },
      { type: 'array', items: object({ a: { maxLength: 8 } }) },
      '/*/a: maxLength tightened from 9 to 8',
    ],
    ['a variant that is gone', { anyOf: [text, { type: 'number' }] }, text, ': type changed from number to string'],
  ])('finds in what is sent %s', (_, before, after, found) => {
    expect(sent(before, after)).toEqual([`POST /x request${found}`])
  })

  test.each<[string, object, object, string]>([
    ['a field that is gone', object({ a: text }), object({}), '/a: field of the answer removed'],
    [
      'a field that may be missing',
      object({ a: text }, ['a']),
      object({ a: text }),
      '/a: field of the answer may be missing',
    ],
    ['another type', object({ a: text }), object({ a: { type: 'number' } }), '/a: type changed from string to number'],
    ['null where none was', text, { type: ['string', 'null'] }, ': type changed from string to string|null'],
  ])('finds in what is answered %s', (_, before, after, found) => {
    expect(answered(before, after)).toEqual([`POST /x 200${found}`])
  })

  test('follows references, and ends where they lead back', () => {
    const ref = { $ref: '#/components/schemas/Node' }
    const node = (a: object) => ({ Node: object({ a, next: ref }) })
    expect(rules(documentOf(ref, {}, {}, node({ maximum: 5 })), documentOf(ref, {}, {}, node({ maximum: 4 })))).toEqual(
      ['POST /x request/a: maximum tightened from 5 to 4'],
    )
  })

  test('finds a parameter that is gone, required or narrower, a media type that is gone, and a key that is needed', () => {
    const query = (name: string, rest: object) => ({ name, in: 'query', schema: text, ...rest })
    const before = documentOf({}, {}, { parameters: [query('a', {}), query('b', {}), query('c', {})] })
    const after = documentOf(
      {},
      {},
      {
        parameters: [
          query('b', { required: true }),
          query('c', { schema: { type: 'string', maxLength: 3 } }),
          query('d', { required: true }),
        ],
        security: [{ shopKey: ['calls'] }],
        responses: { 200: { content: { 'text/plain': { schema: text } } } },
      },
    )
    expect(rules(before, after)).toEqual([
      'POST /x: a key is needed now',
      'POST /x query b: parameter now required',
      'POST /x query c: maxLength tightened from none to 3',
      'POST /x query d: parameter now required',
      'POST /x query a: parameter removed',
      'POST /x 200 application/json: media type removed',
    ])
  })

  test.each<[string, object, object]>([
    [
      'a wider list, range and type',
      object({ a: { enum: ['a'] }, b: { maximum: 4 }, c: { type: 'integer' } }),
      object({ a: { enum: ['a', 'b'] }, b: { maximum: 5 }, c: { type: 'number' } }),
    ],
    ['a new optional field', object({ a: text }), object({ a: text, b: text })],
    ['one form more', text, { anyOf: [text, { type: 'number' }] }],
  ])('lets pass in what is sent %s', (_, before, after) => {
    expect(sent(before, after)).toEqual([])
  })

  test('lets pass in what is answered a new field, a new word and a narrower range', () => {
    const before = object({ a: { type: 'string', enum: ['x'] }, n: { type: 'number' } }, ['a'])
    const after = object({ a: { type: 'string', enum: ['x', 'y'] }, n: { type: 'integer', maximum: 3 }, z: text }, [
      'a',
      'z',
    ])
    expect(answered(before, after)).toEqual([])
  })
})

test('nothing of the current document breaks a client of the last release, but for what is accepted with a reason', () => {
  const accepted = acceptedBreaks()
  const found = breaksBetween(lastReleased().document, current)
  expect(found).toEqual(accepted.map(({ at, rule }) => ({ at, rule })))
  for (const { why } of accepted) expect(why.length).toBeGreaterThan(20)
})

test('two general rule sets find nothing in the document', () => {
  const { status, stdout, stderr } = spawnSync(process.execPath, ['src/tools/lint-openapi.ts'], { encoding: 'utf8' })
  expect([status, stdout + stderr]).toEqual([0, expect.stringContaining('redocly: no findings')])
  expect(stdout).toContain('spectral: no findings')
})

test('every pattern of the document is one that a validator takes with the flag u', () => {
  const patterns: string[] = []
  JSON.stringify(current, (key, value) => {
    if (key === 'pattern' && typeof value === 'string') patterns.push(value)
    return value
  })
  expect(patterns.length).toBeGreaterThan(20)
  for (const pattern of patterns) expect(() => new RegExp(pattern, 'u'), pattern).not.toThrow()
  expect(patterns.filter((pattern) => /^\/|\/[a-z]+$/.test(pattern))).toEqual([])
})
