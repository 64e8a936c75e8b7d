import { describe, expect, test } from 'vitest'
import { LIMITS } from '../../src/http/limits.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const MAINS = '1234181301000006'
const BATTERY = '1234181302000005'
const LOG = `${MAINS}\r\n\r\nnot a signal\n${BATTERY}`

/** A body that comes in pieces of so many bytes. */
function inPieces(text: string, size: number): ReadableStream<Uint8Array> {
  const bytes = new TextEncoder().encode(text)
  let from = 0
  return new ReadableStream({
    pull(controller) {
      if (from >= bytes.length) return controller.close()
      controller.enqueue(bytes.slice(from, from + size))
      from += size
    },
  })
}
async function stream(body: string | ReadableStream<Uint8Array>, query = '') {
  const headers = { 'Content-Type': 'text/plain' }
  const init = { method: 'POST', headers, body, duplex: 'half' }
  const response = await send(`/v1/signals/stream${query}`, init as RequestInit)
  const text = await response.text()
  return {
    response,
    lines: text
      .split('\n')
      .filter(Boolean)
      .map((line) => JSON.parse(line)),
  }
}

describe('POST /v1/signals/stream', () => {
  test('answers each line as the decoding of the whole text does', async () => {
    const { response, lines } = await stream(LOG)
    const { body } = await ask(send, 'POST', '/v1/signals/decode', { text: LOG })
    expect([response.status, response.headers.get('Content-Type')]).toEqual([200, 'application/x-ndjson'])
    expect(lines).toEqual(body.lines)
  })

  test.each([1, 2, 7, 16, 17, 1000])('answers the same however the body is cut: pieces of %d bytes', async (size) => {
    expect((await stream(inPieces(LOG, size))).lines).toEqual((await stream(LOG)).lines)
  })

  test('a line without an end does not grow without bound, and the next is read again', async () => {
    const { lines } = await stream(inPieces(`${'x'.repeat(200_000)}\n${MAINS}\n`, 5000))
    expect(lines[0].problem).toBeDefined()
    expect(lines[1].events[0].code).toBe('301')
  })

  test('a log of many lines is answered line by line while it comes', async () => {
    const count = 20_000
    let sent = 0
    const body = new ReadableStream<Uint8Array>({
      pull(controller) {
        if (sent >= count) return controller.close()
        sent++
        controller.enqueue(new TextEncoder().encode(`${MAINS}\n`))
      },
    })
    const init = { method: 'POST', headers: { 'Content-Type': 'text/plain' }, body, duplex: 'half' }
    const reader = (await send('/v1/signals/stream', init as RequestInit)).body!.getReader()
    const { value } = await reader.read()
    expect(JSON.parse(new TextDecoder().decode(value)).events[0].code).toBe('301')
    expect(sent).toBeLessThan(count / 10)
    await reader.cancel()
  })

  test('a log over the limit ends with a line that says so', async () => {
    const { lines } = await stream(inPieces(' '.repeat(LIMITS.streamBytes + 1), 1024 * 1024))
    expect(lines.at(-1).problem).toMatchObject({ code: 'BODY_TOO_LARGE', limit: LIMITS.streamBytes })
  })

  test.each([
    ['another media type', { 'Content-Type': 'application/json' }, '', 415],
    ['another wish than NDJSON', { 'Content-Type': 'text/plain', Accept: 'text/html' }, '', 406],
    ['an unknown release', { 'Content-Type': 'text/plain' }, '?release=9.9.9', 422],
    ['an unknown scheme', { 'Content-Type': 'text/plain' }, '?scheme=dc-99', 422],
  ])('%s is refused', async (_, headers, query, status) => {
    const response = await send(`/v1/signals/stream${query}`, { method: 'POST', headers, body: MAINS })
    expect([response.status, response.headers.get('Content-Type')]).toEqual([status, 'application/problem+json'])
  })
})
