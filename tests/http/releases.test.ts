import { createHash } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import { publishedReleases } from '../../src/ontology/release.ts'
import { POWER, post } from '../support/calls.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const releases = publishedReleases().map(({ release }) => release)
const oldest = releases[0]!
const newest = releases.at(-1)!

describe.each(releases)('release %s', (release) => {
  test('serves every file of its manifest with its media type and digest', async () => {
    const { body } = await ask(send, 'GET', `/v1/ontology/${release}`)
    for (const { name, mediaType, bytes, sha256 } of body.files) {
      const response = await send(`/v1/ontology/${release}/files/${name}`, {})
      const content = new Uint8Array(await response.arrayBuffer())
      const digest = createHash('sha256').update(content)
      expect([name, response.headers.get('Content-Type'), content.length]).toEqual([name, mediaType, bytes])
      expect(digest.copy().digest('hex')).toBe(sha256)
      expect(response.headers.get('Repr-Digest')).toBe(`sha-256=:${digest.digest('base64')}:`)
      expect(response.headers.get('Cache-Control')).toContain('immutable')
    }
  })

  test('still diagnoses, and the answer names it', async () => {
    const { status, body } = await post(POWER, { release })
    expect([status, body.basis.release]).toEqual([200, release])
  })
})

describe('changes between releases', () => {
  test('are keyed by concept and classed', async () => {
    const { body } = await ask(send, 'GET', `/v1/ontology/${newest}/changes?since=${oldest}`)
    const added = body.changes.filter(({ change }: { change: string }) => change === 'added')
    expect(added.length).toBeGreaterThan(100)
    expect(body.class).toMatch(/breaking|numeric/)
  })

  test('of a release against itself are none', async () => {
    const { body } = await ask(send, 'GET', `/v1/ontology/${newest}/changes?since=${newest}`)
    expect(body.changes).toEqual([])
  })

  test('since a release that never was are refused', async () => {
    const { status, body } = await ask(send, 'GET', `/v1/ontology/${newest}/changes?since=9.9.9`)
    expect([status, body.errors[0].pointer]).toEqual([422, '?since'])
  })

  test('narrow the list of concepts to what is new', async () => {
    const { body } = await ask(send, 'GET', `/v1/ontology/${newest}/concepts?kind=family&changedSince=${oldest}`)
    expect(body.total).toBe(11)
  })
})

test('"has anything changed" costs a 304', async () => {
  const first = await send('/v1/ontology', {})
  const again = await send('/v1/ontology', { headers: { 'If-None-Match': first.headers.get('ETag')! } })
  expect([again.status, await again.text()]).toEqual([304, ''])
})
