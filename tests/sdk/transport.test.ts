import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import { type Attempt, ConnectionError, InvalidInputError, ServiceError, TroubleAtlas } from '../../sdk/src/index.ts'
import { retryAfterMs } from '../../sdk/src/retry-after.ts'
import { type Fault, faultyFetch } from '../../sdk/src/testing.ts'

const GOOD = (async () => Response.json({ engine: 'x' }, { headers: { 'x-request-id': 'r1' } })) as typeof fetch
const busy = (seconds: string): Fault => ({ status: 429, headers: { 'Retry-After': seconds } })

function watched(faults: readonly Fault[], options: object = {}) {
  const attempts: Attempt[] = []
  const client = new TroubleAtlas({
    baseUrl: 'http://x',
    fetch: faultyFetch(GOOD, { faults }),
    onAttempt: (attempt) => attempts.push(attempt),
    ...options,
  })
  return { client, attempts, call: () => client.getCapabilities() }
}

describe('what passes by itself is tried again', () => {
  test.each<[string, Fault]>([
    ['a dropped connection', 'drop'],
    ['408', { status: 408, headers: { 'Retry-After': '0' } }],
    ['429', busy('0')],
    ['500', { status: 500, headers: { 'Retry-After': '0' } }],
    ['503 without a time', { status: 503 }],
  ])('%s', async (_, fault) => {
    const { attempts, call } = watched([fault])
    expect((await call()).value).toEqual({ engine: 'x' })
    expect(attempts.map(({ number }) => number)).toEqual([1, 2])
    expect(attempts[1]).toMatchObject({ status: 200, requestId: 'r1', method: 'GET', path: '/v1/capabilities' })
    expect(attempts[1]!.retryInMs).toBeUndefined()
  })

  test.each([400, 401, 403, 404, 409, 413, 422])('but %d never', async (status) => {
    const { attempts, call } = watched([{ status }, { status }])
    await expect(call()).rejects.toMatchObject({ status })
    expect(attempts).toHaveLength(1)
  })

  test('as often as is allowed, then the last answer is the error', async () => {
    const { attempts, call } = watched(
      Array.from({ length: 5 }, () => busy('0')),
      { retries: 3 },
    )
    await expect(call()).rejects.toBeInstanceOf(InvalidInputError)
    expect(attempts).toHaveLength(4)
  })

  test('after a wait that doubles at most and is drawn anew each time', async () => {
    const waits = await Promise.all(
      Array.from({ length: 20 }, async () => {
        const { attempts, call } = watched(['drop'])
        await call()
        return attempts[0]!.retryInMs!
      }),
    )
    expect(Math.max(...waits)).toBeLessThanOrEqual(500)
    expect(new Set(waits).size).toBeGreaterThan(10)
  })
})

describe('a wait that the service asks for', () => {
  const now = Date.parse('2026-11-25T03:00:00Z')
  test.each<[string | null, number | undefined]>([
    [null, undefined],
    ['0', 0],
    ['2', 2000],
    ['1.5', 1500],
    ['-3', 0],
    ['Wed, 25 Nov 2026 03:00:10 GMT', 10_000],
    ['Wed, 25 Nov 2026 02:59:00 GMT', 0],
    ['soon', undefined],
    ['', undefined],
  ])('%j is %j ms', (header, wait) => {
    expect(retryAfterMs(header, now)).toBe(wait)
  })

  test('is kept to', async () => {
    const { attempts, call } = watched([busy('0.05')])
    const before = performance.now()
    await call()
    expect(attempts[0]!.retryInMs).toBe(50)
    expect(performance.now() - before).toBeGreaterThanOrEqual(45)
  })

  test('of days is not waited for: the error says how long', async () => {
    const { attempts, call } = watched([busy('259200')])
    await expect(call()).rejects.toMatchObject({ status: 429, retryAfterMs: 259_200_000 })
    expect(attempts).toHaveLength(1)
  })
})

describe('a call ends', () => {
  let server: Server
  let url = ''
  beforeAll(async () => {
    server = createServer(() => {})
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
    url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
  })
  afterAll(() => server.closeAllConnections())

  test('when an attempt takes too long, after its attempts', async () => {
    const attempts: Attempt[] = []
    const client = new TroubleAtlas({
      baseUrl: url,
      timeoutMs: 20,
      retries: 1,
      onAttempt: (attempt) => attempts.push(attempt),
    })
    await expect(client.getCapabilities()).rejects.toBeInstanceOf(ConnectionError)
    expect(attempts).toHaveLength(2)
  })

  test('when the whole takes too long, whatever attempts are left', async () => {
    const client = new TroubleAtlas({ baseUrl: url, timeoutMs: 1000, totalTimeoutMs: 30, retries: 9 })
    const before = performance.now()
    await expect(client.getCapabilities()).rejects.toBeInstanceOf(ConnectionError)
    expect(performance.now() - before).toBeLessThan(900)
  })

  test('when it is aborted on the way', async () => {
    const stop = new AbortController()
    const call = new TroubleAtlas({ baseUrl: url }).getCapabilities({ signal: stop.signal })
    stop.abort(new Error('enough'))
    await expect(call).rejects.toMatchObject({ name: 'ConnectionError', cause: { message: 'enough' } })
  })

  test('when it is aborted while it waits to try again', async () => {
    const stop = new AbortController()
    const { client, attempts } = watched([busy('20')])
    const call = client.getCapabilities({ signal: stop.signal })
    await vi.waitFor(() => expect(attempts).toHaveLength(1))
    stop.abort(new Error('enough'))
    await expect(call).rejects.toMatchObject({ name: 'ConnectionError', cause: { message: 'enough' } })
  })
})

test('a fault without a problem document is still a typed error', async () => {
  const { call } = watched([{ status: 502, body: '<html>' }], { retries: 0 })
  await expect(call()).rejects.toBeInstanceOf(ServiceError)
})
