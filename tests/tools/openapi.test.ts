import { spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { breaksBetween } from '../../src/tools/openapi/breaking.ts'
import { acceptedBreaks, lastReleased } from '../../src/tools/openapi/released.ts'
import { nameParts, shareResponses } from '../../src/tools/openapi/share.ts'
import { splitSides } from '../../src/tools/openapi/sides.ts'

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

/** Places of all objects in the document that read the same, where that is long. */
function longRepeats(longerThan: number): string[][] {
  const places = new Map<string, string[]>()
  const walk = (value: unknown, at: string) => {
    if (typeof value !== 'object' || value === null) return
    const text = JSON.stringify(value)
    if (text.length <= longerThan) return
    places.set(text, [...(places.get(text) ?? []), at])
    for (const [key, inner] of Object.entries(value)) walk(inner, `${at}/${key}`)
  }
  walk(current, '')
  return [...places.values()].filter((same) => same.length > 1)
}

/** A profile sent to be decoded is stated apart from a kept one: the SDK takes only known words in the first. */
const STATED_TWICE = ['/components/schemas/DecodeDisplayRequest', '/components/schemas/DisplayProfile']

test('what is long stands once in the document', () => {
  const repeats = longRepeats(1500).filter(
    (same) => !same.every((at) => STATED_TWICE.some((place) => at.startsWith(place))),
  )
  expect(repeats).toEqual([])
})

describe('what is shared in the document', () => {
  const respond = (response: object) => ({ get: { responses: { 404: response } } })
  const absent = (rest: object = {}) => ({ description: 'Absent', 'x-component': 'Absent', ...rest })

  test('a response is stated once, and where it says more it stays', () => {
    const paths = { '/a': respond(absent()), '/b': respond(absent({ headers: {} })), '/c': respond(absent()) }
    const document: any = { paths, components: {} }
    shareResponses(document)
    expect(document.components.responses).toEqual({ Absent: { description: 'Absent' } })
    expect(document.paths).toEqual({
      '/a': respond({ $ref: '#/components/responses/Absent' }),
      '/b': respond({ description: 'Absent', headers: {} }),
      '/c': respond({ $ref: '#/components/responses/Absent' }),
    })
  })

  test('no name is left in the document that was meant for sharing, and each shared thing is used', () => {
    const text = JSON.stringify(current)
    expect(text).not.toContain('x-component')
    const { responses, schemas } = current.components
    for (const [kind, names] of Object.entries({ responses, schemas }))
      for (const name of Object.keys(names)) expect(text, name).toContain(`"#/components/${kind}/${name}"`)
  })

  test('a part that is not where it is said to be stops the build', () => {
    const Overlay = { properties: {} }
    expect(() => nameParts({ components: { schemas: { Overlay } } })).toThrow(/OverlayText must be a part/)
  })
})

test('the two sides of a component with a default are told apart, with all that is in it', () => {
  const ref = (name: string) => ({ $ref: `#/components/schemas/${name}` })
  const schemas: any = {
    Kept: object({ notes: { type: 'array', default: [] }, word: ref('Word') }),
    Word: text,
    Asked: object({ limit: { type: 'number', default: 5 } }),
    Told: object({ found: { type: 'number', default: 0 } }),
  }
  const kept = { put: { requestBody: json(ref('Kept')), responses: { 200: json(ref('Kept')) } } }
  const asked = { post: { requestBody: json(ref('Asked')), responses: { 200: json(ref('Told')) } } }
  const document: any = { paths: { '/kept': kept, '/asked': asked }, components: { schemas } }
  splitSides(document)
  expect(Object.keys(schemas).sort()).toEqual(['AnsweredKept', 'AnsweredWord', 'Asked', 'Kept', 'Told', 'Word'])
  expect(schemas.Kept).toEqual(object({ notes: { type: 'array' }, word: ref('Word') }))
  expect(schemas.AnsweredKept).toEqual(object({ notes: { type: 'array', default: [] }, word: ref('AnsweredWord') }))
  expect([schemas.Asked.properties.limit, schemas.Told.properties.found]).toEqual([
    { type: 'number' },
    { type: 'number', default: 0 },
  ])
  expect(document.paths['/kept'].put).toEqual({
    requestBody: json(ref('Kept')),
    responses: { 200: json(ref('AnsweredKept')) },
  })
})
