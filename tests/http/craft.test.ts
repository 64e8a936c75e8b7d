import { createHash } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { LogLine } from '../../src/http/env.ts'
import { memoryFairUse } from '../../src/services/fair-use.ts'
import { createKey, SCOPES } from '../../src/services/keys.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { probe, QUERIES, ROUTES, VALID } from '../support/hostile.ts'
import { ask, bareApp, createNodeApp, type Send } from '../support/service.ts'

const READS = ROUTES.filter(({ method }) => method === 'GET').map(({ path }) => path)
const TRACE = '00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01'

let database: Database
let key: string
let send: Send
const lines: LogLine[] = []
beforeAll(async () => {
  database = await openDatabase(':memory:')
  key = await createKey(database, 'north', SCOPES, 0)
  const app = createNodeApp(database, {
    fairUse: memoryFairUse({ now: () => Date.now(), limit: 1_000_000 }),
    log: (line) => lines.push(line),
  })
  app.get('/boom', () => {
    throw Object.assign(new Error(`params: ${key}`), { code: 'SQLITE_ERROR' })
  })
  send = async (path, init) => app.request(path, init)
})
afterAll(() => database.client.close())

const withKey = (headers: Record<string, string> = {}) => ({ Authorization: `Bearer ${key}`, ...headers })
const listed = (headers: Headers, name: string) =>
  (headers.get(name) ?? '')
    .split(',')
    .map((part) => part.trim().toLowerCase())
    .filter(Boolean)
const raw = async (path: string, headers: Record<string, string> = {}) => {
  const response = await send(path, { headers })
  return { status: response.status, headers: response.headers, text: await response.text() }
}

describe.each([...READS, '/openapi.json'])('GET %s', (path) => {
  test('has an ETag that is the same with a key and without', async () => {
    const [without, withOne] = [await raw(path), await raw(path, withKey())]
    expect(without.headers.get('ETag')).toMatch(/^"[^"]+"$/)
    expect(withOne.headers.get('ETag')).toBe(without.headers.get('ETag'))
    expect(withOne.text).toBe(without.text)
  })

  test('keeps on a 304 what the 200 said of caching, sender, limits and deprecation', async () => {
    const full = await raw(path)
    const headers = {
      'If-None-Match': `"other", ${full.headers.get('ETag')}`,
      'X-Request-Id': 'mine',
      traceparent: TRACE,
    }
    const { status, headers: kept, text } = await raw(path, headers)
    expect([status, text, kept.get('X-Request-Id'), kept.get('traceparent')]).toEqual([304, '', 'mine', TRACE])
    const same = ['Access-Control-Allow-Origin', 'Access-Control-Expose-Headers', 'Cache-Control', 'Content-Language']
    const also = ['Deprecation', 'ETag', 'Link', 'RateLimit-Policy', 'Repr-Digest', 'Sunset', 'Vary']
    for (const name of [...same, ...also]) expect([name, kept.get(name)]).toEqual([name, full.headers.get(name)])
    expect(kept.has('RateLimit')).toBe(full.headers.has('RateLimit'))
  })

  test('answers HEAD as GET without the body', async () => {
    const response = await send(path, { method: 'HEAD' })
    expect([response.status, await response.text()]).toEqual([200, ''])
    expect(response.headers.get('ETag')).toBe((await raw(path)).headers.get('ETag'))
  })

  test('names in Vary what its answer depends on, each once', async () => {
    const vary = listed((await raw(path)).headers, 'Vary')
    const wanted = path.endsWith('/concepts') ? ['accept', 'accept-language'] : ['accept']
    expect(vary.sort()).toEqual(wanted)
  })
})

test('a page in a language says that it depends on Accept-Language', async () => {
  const { headers } = await raw('/v1/ontology/latest/concepts/condition/mains-missing', { Accept: 'text/html' })
  expect(listed(headers, 'Vary').sort()).toEqual(['accept', 'accept-language'])
})

test.each(['/v1/capabilities', '/nothing', '/v1/overlays', '/boom'])(
  '%s carries the security headers',
  async (path) => {
    const { headers } = await raw(path)
    expect(headers.get('X-Content-Type-Options')).toBe('nosniff')
    expect(headers.get('Referrer-Policy')).toBe('no-referrer')
    expect(headers.get('Strict-Transport-Security')).toMatch(/^max-age=\d{7,}/)
    expect(headers.get('X-Frame-Options')).toBe('SAMEORIGIN')
    expect(headers.get('X-Powered-By')).toBeNull()
    expect(headers.get('Set-Cookie')).toBeNull()
  },
)

test('a script of another origin may read every field that it needs, and send what it wants to', async () => {
  const { headers } = await raw('/v1/capabilities', { Origin: 'https://shop.example' })
  const exposed = listed(headers, 'Access-Control-Expose-Headers')
  const needed = [
    'allow',
    'content-language',
    'content-location',
    'deprecation',
    'etag',
    'link',
    'location',
    'ratelimit',
  ]
  const further = ['ratelimit-policy', 'repr-digest', 'retry-after', 'sunset', 'traceparent', 'x-request-id']
  expect(exposed).toEqual(expect.arrayContaining([...needed, ...further]))
  expect(headers.get('Access-Control-Allow-Credentials')).toBeNull()
  const asked = 'authorization, content-type, if-none-match, idempotency-key'
  const first = await send('/v1/diagnose', {
    method: 'OPTIONS',
    headers: {
      Origin: 'https://shop.example',
      'Access-Control-Request-Method': 'QUERY',
      'Access-Control-Request-Headers': asked,
    },
  })
  expect(first.status).toBe(204)
  expect(listed(first.headers, 'Access-Control-Allow-Methods')).toEqual(
    expect.arrayContaining(['get', 'post', 'put', 'patch', 'delete', 'query']),
  )
  expect(listed(first.headers, 'Access-Control-Allow-Headers')).toEqual(asked.split(', '))
  expect(first.headers.get('Access-Control-Max-Age')).toBe('86400')
})

describe('the deprecated path', () => {
  test('says since when, until when, why and what to use, and still answers', async () => {
    const { status, headers, body } = await ask(send, 'GET', '/healthz')
    expect([status, body]).toEqual([200, { status: 'ok' }])
    const since = Number(/^@(\d+)$/.exec(headers.get('Deprecation')!)![1]) * 1000
    const sunset = Date.parse(headers.get('Sunset')!)
    expect(headers.get('Sunset')).toBe(new Date(sunset).toUTCString())
    expect(sunset - since).toBeGreaterThan(365 * 86_400_000)
    expect(headers.get('Link')).toBe(
      '</v1/deprecations>; rel="deprecation"; type="application/json", </livez>; rel="successor-version"',
    )
    const { body: page } = await ask(send, 'GET', '/v1/deprecations')
    expect(page.items.map(({ path }: { path: string }) => path)).toEqual(['/healthz'])
    expect(Date.parse(page.items[0].since)).toBe(since)
    expect(Date.parse(page.items[0].sunset)).toBe(sunset)
    expect((await ask(send, 'GET', page.items[0].successor)).body).toEqual(body)
  })

  test('says so when it refuses, too', async () => {
    const { status, headers } = await ask(send, 'GET', '/healthz', undefined, { Accept: 'image/png' })
    expect([status, headers.has('Deprecation'), headers.has('Sunset')]).toEqual([406, true, true])
  })

  test('is the only one that says so, and is marked in the document', async () => {
    for (const path of READS.filter((path) => path !== '/healthz'))
      expect([path, (await raw(path)).headers.has('Deprecation')]).toEqual([path, false])
    const { body } = await ask(send, 'GET', '/openapi.json')
    const marked = Object.keys(body.paths).filter((path) =>
      Object.values<{ deprecated?: boolean }>(body.paths[path]).some(({ deprecated }) => deprecated),
    )
    expect(marked).toEqual(['/healthz'])
  })
})

describe('the request id and the trace', () => {
  test('of the caller are kept, in the answer and in a problem', async () => {
    const headers = { 'X-Request-Id': 'shop-7', traceparent: TRACE }
    const { headers: answered, body } = await ask(send, 'GET', '/nothing', undefined, headers)
    expect([answered.get('X-Request-Id'), body.requestId, answered.get('traceparent')]).toEqual([
      'shop-7',
      'shop-7',
      TRACE,
    ])
  })

  test.each(['', 'nonsense', TRACE.toUpperCase(), `00-${'0'.repeat(32)}-00f067aa0ba902b7-01`, `${TRACE}-x`])(
    'a trace %j is not one and is not sent back',
    async (traceparent) => {
      expect((await raw('/livez', { traceparent })).headers.get('traceparent')).toBeNull()
    },
  )

  test.each(['a b', 'x'.repeat(300), '<b>'])('an id %j is replaced', async (id) => {
    expect((await raw('/livez', { 'X-Request-Id': id })).headers.get('X-Request-Id')).toMatch(/^[0-9a-f-]{36}$/)
  })
})

describe('the log', () => {
  test('has one line a request: template, method, status, time and ids, and nothing else', async () => {
    lines.length = 0
    await ask(send, 'GET', '/v1/ontology/latest/concepts?q=secretword', undefined, {
      traceparent: TRACE,
      'X-Request-Id': 'n1',
    })
    await ask(send, 'QUERY', '/v1/diagnose', { findings: [] })
    await raw('/nothing/secretword')
    await ask(send, 'PUT', '/v1/diagnose')
    expect(lines.map(({ method, route, status }) => [method, route, status])).toEqual([
      ['GET', '/v1/ontology/:release/concepts', 200],
      ['QUERY', '/v1/diagnose', 200],
      ['GET', 'none', 404],
      ['PUT', 'none', 405],
    ])
    expect(lines[0]).toEqual({
      level: 'info',
      requestId: 'n1',
      traceId: TRACE.slice(3, 35),
      method: 'GET',
      route: '/v1/ontology/:release/concepts',
      status: 200,
      ms: expect.any(Number),
    })
    expect(JSON.stringify(lines)).not.toContain('secretword')
  })

  test('tells a fault by its kind and place, never by its message', async () => {
    lines.length = 0
    const { status, body } = await ask(send, 'GET', '/boom')
    expect([status, body.code]).toEqual([500, 'INTERNAL'])
    expect(lines[0]).toMatchObject({ level: 'error', route: '/boom', fault: { name: 'Error', code: 'SQLITE_ERROR' } })
    expect(lines[0]!.fault!.at.length).toBeGreaterThan(0)
    expect(JSON.stringify([lines, body])).not.toContain(key.slice(8))
  })

  test('is not written where the host keeps none', async () => {
    const app = bareApp()
    const before = lines.length
    await app.request('/livez')
    expect(lines.length).toBe(before)
  })
})

test('a key is in no log, no error and no address that is answered', async () => {
  lines.length = 0
  const secret = key.slice(8, 43)
  const answers: string[] = []
  const keep = async (path: string, init: RequestInit) => {
    const response = await send(path, init)
    const said: string[] = []
    response.headers.forEach((value, name) => said.push(`${name}: ${value}`))
    answers.push(`${said.join('\n')}\n${await response.text()}`)
    return response.status
  }
  const own = { headers: { Authorization: `Bearer ${key}` } }
  const json = { 'Content-Type': 'application/json' }
  expect(await keep(`/v1/overlays?key=${key}`, own)).toBe(401)
  expect(await keep(`/v1/overlays/${key}`, own)).toBe(401)
  expect(await keep(`/${key}`, {})).toBe(401)
  for (const { method, path } of ROUTES) {
    const body = method === 'POST' ? JSON.stringify({ [key]: key, findings: key, text: 5 }) : null
    await keep(path, { method, body, headers: { ...own.headers, ...json } })
    await keep(path, { method: 'BREW', headers: { ...json, Accept: key } })
    await keep(path, { method, body, headers: { ...json, Accept: key, 'X-Request-Id': 'n' } })
  }
  await keep('/v1/diagnose', { method: 'POST', headers: json, body: JSON.stringify({ findings: [], overlay: key }) })
  await keep('/v1/diagnose', {
    method: 'POST',
    headers: json,
    body: JSON.stringify({ findings: [], release: key.slice(0, 32) }),
  })
  await keep('/v1/keys', own)
  await keep('/boom', own)
  expect(answers.length).toBeGreaterThan(100)
  expect(answers.filter((answer) => answer.includes(secret))).toEqual([])
  expect(JSON.stringify(lines)).not.toContain(secret)
})

describe('QUERY', () => {
  test('is offered for every computation, and for nothing else', async () => {
    const posts = ROUTES.filter(({ method }) => method === 'POST').map(({ path }) => path)
    expect(QUERIES.map(({ path }) => path).sort()).toEqual(posts.sort())
    const { body } = await ask(send, 'GET', '/openapi.json')
    const isPublic = ({ security = [{}] }: { security?: object[] }) =>
      security.some((need) => Object.keys(need).length === 0)
    for (const [path, { post }] of Object.entries<any>(body.paths))
      if (post) expect([path, post['x-query'] === true]).toEqual([path, isPublic(post)])
    expect((await send('/v1/keys', { method: 'QUERY', ...{ headers: withKey() } })).headers.get('Allow')).toBe(
      'GET, HEAD, POST',
    )
  })

  test.each(QUERIES.filter(({ hasBody }) => hasBody).map(({ path }) => path))(
    '%s answers as POST does',
    async (path) => {
      const text = JSON.stringify(VALID[path])
      const [post, query] = [await probe('POST', path, { text }), await probe('QUERY', path, { text })]
      expect([query.status, query.body]).toEqual([200, post.body])
      expect(query.headers.get('Cache-Control')).toBe('private, max-age=300')
      const again = { 'If-None-Match': query.headers.get('ETag')! }
      const known = await send(path, {
        method: 'QUERY',
        body: text,
        headers: { 'Content-Type': 'application/json', ...again },
      })
      expect(known.status).toBe(304)
    },
  )

  test('refuses as POST does', async () => {
    expect((await probe('QUERY', '/v1/diagnose', { text: '{' })).status).toBe(400)
    expect((await probe('QUERY', '/v1/diagnose', { text: '{}' })).body.errors[0].pointer).toBe('/findings')
    const { headers } = await probe('GET', '/v1/diagnose')
    expect(headers.get('Allow')?.split(', ').sort()).toEqual(['POST', 'QUERY'])
  })
})

test('every file of a release states the digest of its bytes, and a 304 the same', async () => {
  const { body } = await ask(send, 'GET', '/v1/ontology/latest')
  for (const { name, sha256 } of body.files) {
    const path = `/v1/ontology/latest/files/${name}`
    const response = await send(path)
    const bytes = new Uint8Array(await response.arrayBuffer())
    const digest = createHash('sha256').update(bytes)
    expect(response.headers.get('Repr-Digest')).toBe(`sha-256=:${Buffer.from(sha256, 'hex').toString('base64')}:`)
    expect(digest.digest('hex')).toBe(sha256)
  }
})
