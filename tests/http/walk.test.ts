import { describe, expect, test } from 'vitest'
import { negotiate } from '../../src/http/middleware/accept.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { probe, QUERIES, ROUTES, send, VALID } from '../support/hostile.ts'

/** What a heavy but well-formed call may be refused for. */
const REFUSED_WORK = ['EVIDENCE_TOO_ENTANGLED', 'EVIDENCE_IMPOSSIBLE', 'TOO_MANY_DEVICES']

const POSTS = ROUTES.filter(({ hasBody }) => hasBody).map(({ path }) => path)
const METHODS = ['GET', 'HEAD', 'POST', 'PUT', 'PATCH', 'DELETE', 'QUERY', 'BREW']

test('the walk knows a valid body for each operation that takes one', async () => {
  expect(Object.keys(VALID).sort()).toEqual([...POSTS].sort())
  for (const path of POSTS)
    expect((await probe('POST', path, { text: JSON.stringify(VALID[path]) })).status, path).toBe(200)
})

const DOCUMENT = {
  method: 'GET',
  path: '/openapi.json',
  statuses: ['200', '406'],
  hasBody: false,
  offers: ['application/json'],
  methods: ['GET', 'HEAD'],
}
const ACCEPTED = ['image/png', 'text/html', 'application/xml;q=1, text/*', '*/*;q=0', ';;;,,', '\u00ff']

describe.each([...ROUTES, ...QUERIES, DOCUMENT])(
  '$method $path',
  ({ method, path, statuses, hasBody, offers, methods }) => {
    const text = hasBody ? JSON.stringify(VALID[path]) : undefined
    const withBody = text === undefined ? {} : { text }

    test.each(METHODS.filter((other) => !methods.includes(other)))('refuses %s', async (other) => {
      const { status, headers } = await probe(other, path)
      expect([status, headers.get('Allow')?.split(', ').sort()]).toEqual([405, methods])
    })

    test.each(ACCEPTED.filter((accept) => negotiate(accept, offers) === undefined))(
      'refuses to answer as %j',
      async (accept) => {
        const { status } = await probe(method, path, { ...withBody, headers: { Accept: accept } })
        expect(status).toBe(406)
        expect(statuses).toContain('406')
      },
    )

    test.each(['*/*', 'application/*', `image/png, ${offers[0]};q=0.1`, ''])('answers %j', async (accept) => {
      expect((await probe(method, path, { ...withBody, headers: { Accept: accept } })).status).toBe(200)
    })

    test('lets a browser ask first', async () => {
      const response = await send(path, { method: 'OPTIONS', headers: { Origin: 'https://shop.example' } })
      expect(response.status).toBe(204)
      expect(response.headers.get('Access-Control-Allow-Origin')).toBe('*')
    })
  },
)

test.each([
  '/v1/ontology/__proto__',
  '/v1/ontology/constructor/concepts',
  `/v1/ontology/${'9'.repeat(5000)}`,
  '/v1/ontology/latest/concepts?limit=1&limit=9999',
  '/v1/ontology/latest/concepts?kind=__proto__',
  '/v1/ontology/latest/concepts?cursor=bnVsbA',
  '/v1/ontology/latest/concepts?cursor=W10',
  '/v1/ontology/latest/concepts?cursor=%00%ff',
  `/v1/ontology/latest/concepts?q=${'a'.repeat(101)}`,
  '/v1/ontology/latest/concepts/condition/%E0%A4%A',
  '/v1/ontology/latest/concepts/constructor/toString',
  '/v1/ontology/latest/files/..%2f..%2fmanifest.json',
  '/v1/ontology/latest/files/__proto__',
  '/problems/__proto__',
  '/problems/to-string',
  '/v1//diagnose',
  '/%',
])('GET %s is refused', async (path) => {
  expect([404, 422]).toContain((await probe('GET', path)).status)
})

describe.each(POSTS)('the body of %s', (path) => {
  const valid = JSON.stringify(VALID[path])
  const numbered = /:\d/.test(valid) ? valid : '{"n":1}'
  const post = (text: string, headers: Record<string, string> = {}) => probe('POST', path, { text, headers })
  const declared = ROUTES.find((route) => route.path === path)!.statuses

  test.each([
    ['empty', ' ', 400],
    ['cut off', valid.slice(0, -1), 400],
    ['two documents', valid + valid, 400],
    ['NaN', 'NaN', 400],
    ['Infinity in place of a number', numbered.replace(/:\d+(\.\d+)?/, ':Infinity'), 400],
    ['NaN in place of a number', numbered.replace(/:\d+(\.\d+)?/, ':NaN'), 400],
    ['a comment', `/* */${valid}`, 400],
    ['null', 'null', 422],
    ['a list', `[${valid}]`, 422],
    ['a string', '"{}"', 422],
    ['a number', '-0', 422],
    ['1e999', '1e999', 422],
    ['an empty object', '{}', 422],
    ['deep lists', '['.repeat(200_000) + ']'.repeat(200_000), 422],
    ['deep objects', '{"findings":'.repeat(50_000) + 1 + '}'.repeat(50_000), 422],
    ['a key of 900 kB', `{"${'k'.repeat(900_000)}":1}`, 422],
    ['60000 keys', `{${Array.from({ length: 60_000 }, (_, index) => `"k${index}":1`).join()}}`, 422],
    ['a list of 500000 where an object was', `[${'0,'.repeat(500_000)}0]`, 422],
  ])('refuses %s', async (_, text, expected) => {
    const { status } = await post(text)
    expect(status).toBe(expected)
    expect(declared).toContain(String(status))
  })

  test.each(['findings', 'loads', 'items', 'constraints'])('refuses 400000 entries of %s', async (name) => {
    expect((await post(JSON.stringify({ ...VALID[path], [name]: Array(400_000).fill(0) }))).status).toBe(422)
  })

  test('refuses more than the limit of bytes, before anything else is read', async () => {
    expect((await post(`"${'x'.repeat(1024 * 1024)}"`)).status).toBe(413)
  })

  test.each(['text/plain', 'text/json', 'application/jsonp', 'application/x-www-form-urlencoded', 'json', ''])(
    'refuses the content type %j',
    async (type) => {
      expect((await post(valid, { 'Content-Type': type })).status).toBe(415)
    },
  )

  test('takes a content type with a character set', async () => {
    expect((await post(valid, { 'Content-Type': 'application/json; charset=utf-8' })).status).toBe(200)
  })

  test('takes the last of two equal keys, as JSON.parse does', async () => {
    expect((await post(`{"findings":1,"loads":1,"constraints":1,${valid.slice(1)}`)).status).toSatisfy(
      (status) => status === 200 || status === 422,
    )
    const [name] = Object.keys(VALID[path]!)
    expect((await post(`{"${name}":0,${valid.slice(1)}`)).status).toBe(200)
  })
})

type Place = (string | number)[]

/** Every place in a value, the whole first. */
function places(value: unknown, at: Place = []): Place[] {
  if (typeof value !== 'object' || value === null) return [at]
  return [at, ...Object.entries(value).flatMap(([key, inner]) => places(inner, [...at, key]))]
}

/** JSON text with another text at one place; objects get a key more when `extra` is set. */
function textWith(value: unknown, place: Place, replacement: (inner: unknown) => string): string {
  const [key, ...rest] = place
  if (key === undefined) return replacement(value)
  const entries = Object.entries(value as object).map(([name, inner]) => {
    const text = name === key ? textWith(inner, rest, replacement) : JSON.stringify(inner)
    return Array.isArray(value) ? text : `${JSON.stringify(name)}:${text}`
  })
  return Array.isArray(value) ? `[${entries}]` : `{${entries}}`
}

const HOSTILE = [
  ...['null', 'true', '[]', '{}', '""', '"__proto__"', '"constructor"', '[[[[]]]]', '{"__proto__":{"x":1}}'],
  ...['0', '-1', '-0.0', '0.1', '1e308', '-1e308', '5e-324', '1e999', '-1e999', '9007199254740993'],
  ...['"\\u0000"', '"\\ud800"', '"\u{1f6a8}\u202e\u00e9"', '"\uff11\uff12"', `"${'x'.repeat(100_000)}"`, '"12"'],
]

describe.each(POSTS)('each field of %s', (path) => {
  test.each(places(VALID[path]).map((place) => [place.join('/'), place] as const))(
    'answers or refuses whatever stands at /%s',
    async (_, place) => {
      for (const text of HOSTILE) await probe('POST', path, { text: textWith(VALID[path], place, () => text) })
    },
  )

  test.each(['__proto__', 'constructor', 'toString', 'hasOwnProperty'])(
    'refuses a key %s wherever an object is, naming it',
    async (name) => {
      const plain = await probe('POST', path, { text: JSON.stringify(VALID[path]) })
      const objects = places(VALID[path]).filter((place) => {
        const value = place.reduce<any>((inner, key) => inner[key], VALID[path])
        return typeof value === 'object' && !Array.isArray(value)
      })
      for (const place of objects) {
        const text = textWith(VALID[path], place, (inner) => `{"${name}":5,${JSON.stringify(inner).slice(1)}`)
        const { status, body } = await probe('POST', path, { text })
        const isRecord = path.startsWith('/v1/parts/') && ['attributes', 'columns'].includes(String(place.at(-1)))
        if (name === '__proto__' && isRecord) {
          // The schema's record leaves this one key out, so it must be as if it had not been sent.
          expect([status, body], text).toEqual([200, plain.body])
          continue
        }
        expect([status, body.errors?.[0].pointer], text).toEqual([422, `/${[...place, name].join('/')}`])
      }
      expect(({} as Record<string, unknown>).x).toBeUndefined()
    },
  )
})

const { conditions, contexts, checks, effects } = currentRelease().compiled

/** One finding for each fact the ontology knows, the n-th result of each question. */
function everyFinding(result: (count: number, index: number) => number): object[] {
  return [
    ...conditions.map(({ id }) => ({ kind: 'condition', condition: id, state: 'present' })),
    ...checks
      .filter(({ model }) => model.kind !== 'danger')
      .map(({ id, results }, index) => ({ kind: 'answer', check: id, result: results[result(results.length, index)] })),
    ...contexts.map(({ id }) => ({ kind: 'context', context: id, state: 'holds' })),
  ]
}

async function withinTwoSeconds(findings: object[]) {
  const before = process.cpuUsage()
  const answer = await probe('POST', '/v1/diagnose', {
    text: JSON.stringify({ findings, limits: { who: 'technician' } }),
  })
  const { user, system } = process.cpuUsage(before)
  expect((user + system) / 1e6).toBeLessThan(2)
  console.info(
    `${findings.length} findings: ${answer.status}, ${((user + system) / 1000).toFixed(0)} ms of CPU ${answer.body.code ?? ''}`,
  )
  if (answer.status !== 200) expect(REFUSED_WORK).toContain(answer.body.errors[0].code)
  return answer
}

describe('heavy calls are answered or refused within 2 s of CPU', () => {
  test('200 times the same finding', async () => {
    const finding = { kind: 'condition', condition: 'condition/mains-missing', state: 'present' }
    const { status, body } = await withinTwoSeconds(Array(200).fill(finding))
    expect([status, body.contradictions]).toEqual([200, []])
  })

  test.each<[string, (count: number, index: number) => number]>([
    ['the first result of each question', () => 0],
    ['the last result of each question', (count) => count - 1],
    ['mixed results', (count, index) => (index * 7) % count],
  ])('200 different findings, %s', async (_, result) => {
    const all = everyFinding(result)
    expect(new Set(all.map((finding) => JSON.stringify(finding))).size).toBeGreaterThan(200)
    await withinTwoSeconds(all.slice(0, 200))
    await withinTwoSeconds(all.slice(-200))
  })

  test('200 different findings, none of them certain', async () => {
    await withinTwoSeconds(
      everyFinding((count) => count - 1)
        .slice(0, 200)
        .map((finding) => ({ ...finding, reliability: 0.9 })),
    )
  })

  test('40 devices, each with every condition and question of a device', async () => {
    const own = [
      ...conditions
        .filter(({ effect }) => effects[effect]!.isPerDevice)
        .map(({ id }) => ({ kind: 'condition', condition: id, state: 'present' })),
      ...checks
        .filter(({ isPerDevice, model }) => isPerDevice && model.kind !== 'danger')
        .map(({ id, results }) => ({ kind: 'answer', check: id, result: results[0] })),
    ].slice(0, 5)
    const devices = Array.from({ length: 40 }, (_, index) => `device ${index}`)
    await withinTwoSeconds(devices.flatMap((device) => own.map((finding) => ({ ...finding, device }))))
    await withinTwoSeconds(devices.map((device) => ({ ...own[0], device })))
  })

  test('200 devices, and devices with names of an object', async () => {
    const finding = { kind: 'condition', condition: 'condition/radio-device-missing', state: 'present' }
    const names = ['__proto__', 'constructor', 'toString', '\u0000', ' ', '0 1', '\ud800']
    await withinTwoSeconds(Array.from({ length: 200 }, (_, index) => ({ ...finding, device: `${index}` })))
    const { status } = await withinTwoSeconds(names.map((device) => ({ ...finding, device })))
    expect(status).toBe(200)
  })

  test('a hundred contexts, first as holding and then as not', async () => {
    const both = ['holds', 'does-not-hold'].flatMap((state) =>
      contexts.slice(0, 100).map(({ id }) => ({ kind: 'context', context: id, state })),
    )
    const { status, body } = await withinTwoSeconds(both)
    expect(status).toBe(200)
    expect(body.contradictions.length).toBeGreaterThan(0)
  })
})
