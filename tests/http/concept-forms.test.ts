import jsonld from 'jsonld'
import { Parser } from 'n3'
import { describe, expect, test } from 'vitest'
import { currentRelease, publishedReleases } from '../../src/ontology/release.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const PATH = '/v1/ontology/latest/concepts/condition/mains-missing'
const read = (path: string, headers: Record<string, string> = {}) => send(path, { headers })

const FORMS: [type: string, suffix: string][] = [
  ['application/json', 'json'],
  ['application/ld+json', 'jsonld'],
  ['text/turtle', 'ttl'],
  ['text/html', 'html'],
]

describe.each(FORMS)('a concept as %s', (type, suffix) => {
  test('comes by Accept and by suffix, byte for byte the same, without a redirect', async () => {
    const [byAccept, bySuffix] = [await read(PATH, { Accept: type }), await read(`${PATH}.${suffix}`)]
    expect([byAccept.status, bySuffix.status]).toEqual([200, 200])
    expect(byAccept.headers.get('Content-Type')).toContain(type)
    expect(await byAccept.text()).toBe(await bySuffix.text())
  })

  test('names its other forms, its permanent name and its schema', async () => {
    const links = (await read(PATH, { Accept: type })).headers.get('Link')!
    for (const [other] of FORMS) expect(links).toContain(`type="${other}"`)
    expect(links).toContain('</id/condition/mains-missing>; rel="canonical"')
    expect(links).toContain('rel="describedby"')
  })

  test('answers 304 to its ETag, and the 304 keeps CORS, request id, Vary and links', async () => {
    const first = await read(PATH, { Accept: type })
    const again = await read(PATH, { Accept: type, 'If-None-Match': first.headers.get('ETag')! })
    expect(again.status).toBe(304)
    expect(again.headers.get('Access-Control-Allow-Origin')).toBe('*')
    expect(again.headers.get('X-Request-Id')).not.toBeNull()
    expect(again.headers.get('Vary')).toContain('Accept')
    expect(again.headers.get('Link')).not.toBeNull()
  })
})

test('JSON-LD and Turtle of a concept state the same triples', async () => {
  const turtle = new Parser().parse(await (await read(`${PATH}.ttl`)).text()) as unknown as {
    object: { value: string }
  }[]
  const graph = (await jsonld.toRDF(await (await read(`${PATH}.jsonld`)).json())) as unknown as {
    object: { value: string }
  }[]
  const values = (quads: { object: { value: string } }[]) => quads.map(({ object }) => object.value).sort()
  expect(values(turtle)).toEqual(values(graph))
})

test('a form that is not offered is 406, not the default', async () => {
  expect((await read(PATH, { Accept: 'image/png' })).status).toBe(406)
})

describe('the page for people', () => {
  test.each(['condition/mains-missing', 'cause/battery-worn-out', 'family/power', 'part-class/vrla-battery-12v'])(
    'of %s has a title, no script and working links only',
    async (id) => {
      const text = await (await read(`/v1/ontology/latest/concepts/${id}.html`)).text()
      expect(text).toMatch(/<h1>[^<]+<\/h1>/)
      expect(text).not.toMatch(/<script|javascript:|undefined|\[object/i)
      const links = [...text.matchAll(/href="(\/v1\/ontology\/[^"]+\/concepts\/[^".]+)"/g)].map((match) => match[1]!)
      expect(links.length).toBeGreaterThan(2)
      const ids = new Set(links.map((link) => link.replace(/.*\/concepts\//, '')))
      for (const linked of ids) expect(currentRelease().concepts.has(linked), linked).toBe(true)
    },
  )

  test('draws how a condition hangs together with its causes and checks', async () => {
    const text = await (await read(`${PATH}.html`)).text()
    expect(text).toMatch(/<svg[^>]+role="img"[^>]+aria-label="[^"]+"/)
    expect(text).toContain('/concepts/cause/supply-unplugged')
  })

  test('is in the English that the reader asks for', async () => {
    const british = await read(`${PATH}.html`, { 'Accept-Language': 'en-GB' })
    expect(british.headers.get('Content-Language')).toBe('en-GB')
    expect(british.headers.get('Vary')).toContain('Accept-Language')
    expect(await british.text()).toContain('<html lang="en-GB">')
  })
})

describe('GET /id', () => {
  test('resolves every id of every release', async () => {
    for (const { release } of publishedReleases()) {
      const { body } = await ask(send, 'GET', `/v1/ontology/${release}/concepts?limit=200`)
      for (const { id } of body.items.slice(0, 40)) expect((await read(`/id/${id}`)).status, id).toBe(200)
    }
  })

  test('says where the concept stands', async () => {
    const response = await read('/id/cause/battery-worn-out')
    expect(response.headers.get('Content-Location')).toBe(
      `/v1/ontology/${currentRelease().version}/concepts/cause/battery-worn-out`,
    )
  })

  test('answers 404 for what was never released', async () => {
    expect((await read('/id/cause/never-was')).status).toBe(404)
  })
})
