import { createHash } from 'node:crypto'
import { expect, test } from 'vitest'
import { ask, bareApp, type Send } from '../support/service.ts'

const app = bareApp()
const send: Send = async (path, init) => app.request(path, init)
const READS = [
  '/',
  '/v1/capabilities',
  '/v1/ontology',
  '/v1/ontology/latest',
  '/v1/ontology/latest/concepts',
  '/v1/ontology/latest/concepts/condition/mains-missing',
  '/healthz',
  '/openapi.json',
]

test.each(READS)(
  '%s answers 304 to its own ETag, and the 304 can be read across origins and reported',
  async (path) => {
    const first = await ask(send, 'GET', path)
    expect(first.status).toBe(200)
    const etag = first.headers.get('ETag')!
    const again = await ask(send, 'GET', path, undefined, { 'If-None-Match': etag, Origin: 'https://shop.example' })
    expect(again.status).toBe(304)
    expect(again.headers.get('Access-Control-Allow-Origin')).toBe('*')
    expect(again.headers.get('X-Request-Id')).toBeTruthy()
    expect(again.headers.get('Vary')).toContain('Accept')
  },
)

test('a request id that the client sends comes back, in a problem too', async () => {
  const { headers, body } = await ask(send, 'GET', '/nowhere', undefined, { 'X-Request-Id': 'call-17' })
  expect(headers.get('X-Request-Id')).toBe('call-17')
  expect(body.requestId).toBe('call-17')
})

test('a browser may ask first', async () => {
  const response = await app.request('/v1/diagnose', {
    method: 'OPTIONS',
    headers: {
      Origin: 'https://shop.example',
      'Access-Control-Request-Method': 'POST',
      'Access-Control-Request-Headers': 'content-type',
    },
  })
  expect(response.status).toBe(204)
  expect(response.headers.get('Access-Control-Allow-Methods')).toContain('POST')
})

test('the pages of the concept list cover every concept once, in the order of their ids', async () => {
  const ids: string[] = []
  let cursor = ''
  let total: number
  do {
    const { body } = await ask(send, 'GET', `/v1/ontology/latest/concepts?limit=37${cursor && `&cursor=${cursor}`}`)
    ids.push(...body.items.map(({ id }: { id: string }) => id))
    cursor = body.next ?? ''
    total = body.total
  } while (cursor !== '')
  expect(ids).toHaveLength(total)
  expect(ids).toEqual([...new Set(ids)].sort())
})

test('a cursor is refused with other filters than its own', async () => {
  const { body: page } = await ask(send, 'GET', '/v1/ontology/latest/concepts?limit=5')
  const { status, body } = await ask(send, 'GET', `/v1/ontology/latest/concepts?limit=5&kind=cause&cursor=${page.next}`)
  expect([status, body.errors[0].pointer]).toEqual([422, '?cursor'])
})

test.each(['0', '201', '1.5', 'many', '-3'])('a page of %s concepts is refused', async (limit) => {
  const { status, body } = await ask(send, 'GET', `/v1/ontology/latest/concepts?limit=${limit}`)
  expect([status, body.errors[0].pointer]).toEqual([422, '?limit'])
})

test('a search finds a condition by its words', async () => {
  const { body } = await ask(send, 'GET', '/v1/ontology/latest/concepts?kind=condition&q=battery%20low')
  expect(body.items.map(({ id }: { id: string }) => id)).toContain('condition/battery-low')
})

test('a downloaded file has the hash and the size that the manifest states', async () => {
  const { body: manifest } = await ask(send, 'GET', '/v1/ontology/latest')
  for (const file of manifest.files) {
    const response = await app.request(`/v1/ontology/${manifest.release}/files/${file.name}`)
    const bytes = Buffer.from(await response.arrayBuffer())
    expect([bytes.length, createHash('sha256').update(bytes).digest('hex')]).toEqual([file.bytes, file.sha256])
    expect(response.headers.get('Cache-Control')).toContain('immutable')
  }
})

test('"latest" says which release it served', async () => {
  const { headers, body } = await ask(send, 'GET', '/v1/ontology/latest')
  expect(headers.get('Content-Location')).toBe(`/v1/ontology/${body.release}`)
})

test('a concept names its IRI and the concepts it links to', async () => {
  const { body } = await ask(send, 'GET', '/v1/ontology/latest/concepts/cause/battery-worn-out')
  expect(body.iri).toBe('https://trouble-atlas.example/id/cause/battery-worn-out')
  expect(body.links).toContain('condition/battery-low')
})

test.each(['condition/no-such', 'cause/mains-missing'])('%s is not found', async (id) => {
  const { status } = await ask(send, 'GET', `/v1/ontology/latest/concepts/${id}`)
  expect(status).toBe(404)
})
