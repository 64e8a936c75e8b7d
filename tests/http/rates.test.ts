import { afterAll, beforeEach, describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import { createKey } from '../../src/services/keys.ts'
import { sha256Hex } from '../../src/services/sha256.ts'
import { type Database, openDatabase } from '../../src/store/open.ts'
import { condition, POWER, screen } from '../support/calls.ts'
import { closeCalls, type Ended, eraseCalls } from '../support/closed-calls.ts'
import { ask, createNodeApp, type Send } from '../support/service.ts'

const WORN = 'cause/battery-worn-out'
const OUTAGE = 'cause/utility-outage'
const MONTH = 31 * 86_400_000
const FINDINGS = [...POWER, screen(true)]

let database: Database
const opened: Database[] = []
afterAll(() => {
  for (const one of opened) one.client.close()
})

async function shop(name: string, scopes: Parameters<typeof createKey>[2] = ['calls']): Promise<Send> {
  const key = await createKey(database, name, scopes, 0)
  const app = createNodeApp(database)
  return async (path, init) =>
    app.request(path, { ...init, headers: { ...(init?.headers as object), Authorization: `Bearer ${key}` } })
}
let north: Send
beforeEach(async () => {
  database = await openDatabase(':memory:')
  opened.push(database)
  north = await shop('north')
})

const rates = async (send: Send, query = '') => (await ask(send, 'GET', `/v1/rates${query}`)).body
const ofCause = (body: { causes: { cause: string }[] }, cause: string) =>
  body.causes.find((one) => one.cause === cause) as any
const diagnose = (send: Send, more: object = {}) => ask(send, 'POST', '/v1/diagnose', { findings: FINDINGS, ...more })
async function settle(send: Send, settings: object) {
  const { headers } = await ask(send, 'GET', '/v1/rates/settings')
  const body = { learning: true, pooling: false, countsFrom: null, ...settings }
  return ask(send, 'PUT', '/v1/rates/settings', body, { 'If-Match': headers.get('ETag')! })
}
/** So many closed calls with one cause each, the first `worn` of them a worn battery. */
const closed = (count: number, worn: number, more: Partial<Ended> = {}): Ended[] =>
  Array.from({ length: count }, (_, at) => ({
    call: `call-${at}-${JSON.stringify(more).length}`,
    confirmed: [{ cause: at < worn ? WORN : OUTAGE, by: 'check' }],
    ...more,
  }))
const probabilityOf = (body: any, cause: string) => body.causes.find((one: any) => one.cause === cause)?.probability

describe('GET /v1/rates', () => {
  test('of a shop that closed nothing says that the published rates stand', async () => {
    const body = await rates(north)
    expect(body.basis.rates.id).toBe('published')
    expect([body.causes, body.notCounted, body.calibration, body.calls.known]).toEqual([[], [], [], 0])
    const all = await rates(north, '?causes=all')
    expect(all.causes.length).toBe(currentRelease().compiled.causes.length)
    for (const { learned, published, factor, low, high } of all.causes) {
      expect([learned, factor]).toEqual([published, 1])
      expect(low < learned && learned < high).toBe(true)
    }
  })

  test('shows counts, learned against published, and names the cause in a language', async () => {
    await closeCalls(database, 'north', closed(100, 40))
    const body = await rates(north, '?language=es')
    expect(body.calls).toEqual({ known: 100, unknown: 0, weighedKnown: 100, weighedUnknown: 0 })
    const worn = ofCause(body, WORN)
    const strength = 2 / 0.0891
    expect(worn.learned).toBeCloseTo((2 + 40) / (strength + 100), 12)
    expect(worn).toMatchObject({ published: 0.0891, confirmed: 40, claimed: 0, known: 100, unknown: 0 })
    expect(worn.low < worn.learned && worn.learned < worn.high).toBe(true)
    expect([body.language, worn.label]).not.toEqual(['en-US', ofCause(await rates(north), WORN).label])
    expect(body.confirmations).toEqual([
      { cause: WORN, confirmed: 40, claimed: 0 },
      { cause: OUTAGE, confirmed: 60, claimed: 0 },
    ])
  })

  test('says what was not counted and why, and what of it cannot move a rate', async () => {
    await closeCalls(database, 'north', [
      ...closed(30, 30, { confirmed: [{ cause: WORN, by: 'said' }] }),
      ...closed(20, 20, { confirmed: [{ cause: WORN, by: 'repair' }] }),
      ...closed(10, 0, { conclusion: 'gone-by-itself', confirmed: [] }),
    ])
    const body = await rates(north)
    expect(body.notCounted.map(({ reason, count }: any) => [reason, count])).toEqual([
      ['gone-by-itself', 10],
      ['said', 30],
      ['repair-without-clearing', 20],
    ])
    expect(ofCause(body, WORN)).toMatchObject({ learned: 0.0891, factor: 1, confirmed: 0, claimed: 50 })
    expect(body.basis.rates.id).toBe('published')
  })

  test('counts a repair with a remedy that removes the cause, and not with another', async () => {
    const { compiled } = currentRelease()
    const at = compiled.causes.findIndex(({ id }) => id === WORN)
    const cures = compiled.remedies.find(({ fixes }) => fixes.some(({ cause }) => cause === at))!.id
    const other = compiled.remedies.find(({ fixes }) => !fixes.some(({ cause }) => cause === at))!.id
    const by = { confirmed: [{ cause: WORN, by: 'repair' }] }
    await closeCalls(database, 'north', [
      ...closed(3, 3, { ...by, remedy: cures }),
      ...closed(2, 2, { ...by, remedy: other }),
    ])
    expect(ofCause(await rates(north), WORN)).toMatchObject({ confirmed: 3, claimed: 2 })
  })

  test('shows how well what was held agrees with what came, apart for published and learned rates', async () => {
    const predicted = (probability: number) => [
      { cause: WORN, probability, prior: 0.0891 },
      { cause: OUTAGE, probability: 1 - probability, prior: 0.0126 },
      { cause: 'cause/radio-cell-flat', probability: 0, prior: 0 },
    ]
    await closeCalls(database, 'north', [
      ...closed(10, 8, { predicted: predicted(0.8) }),
      ...closed(5, 5, { predicted: predicted(0.6), ratesId: 'learned-0123456789abcdef' }),
      ...closed(4, 4, { predicted: predicted(0.6), confirmed: [{ cause: WORN, by: 'said' }] }),
    ])
    const { calibration } = await rates(north)
    expect(calibration.map(({ rates: of, calls, forecasts }: any) => [of, calls, forecasts])).toEqual([
      ['published', 10, 20],
      ['learned', 5, 10],
    ])
    const [published] = calibration
    expect(published.brier.value).toBeCloseTo(0.16, 12)
    expect(published.parts.reliability).toBeCloseTo(0, 12)
    expect(published.bins.map(({ count, happened, share }: any) => [count, happened, share])).toEqual([
      [10, 2, 0.2],
      [10, 8, 0.8],
    ])
  })

  test.each([
    ['no key', undefined, 401],
    ['a key for other things', ['catalogue'], 403],
  ] as const)('is refused with %s, on every path', async (_, scopes, status) => {
    const send: Send =
      scopes === undefined
        ? async (path, init) => createNodeApp(database).request(path, init)
        : await shop('south', [...scopes])
    const put = { learning: true, pooling: false, countsFrom: null }
    expect((await ask(send, 'GET', '/v1/rates')).status).toBe(status)
    expect((await ask(send, 'GET', '/v1/rates/settings')).status).toBe(status)
    expect((await ask(send, 'PUT', '/v1/rates/settings', put, { 'If-Match': '*' })).status).toBe(status)
    expect((await ask(send, 'GET', '/v1/rates/learned-0123456789abcdef')).status).toBe(status)
    expect((await diagnose(send, { rates: 'learned' })).status).toBe(status)
    expect((await diagnose(send, { rates: 'published' })).status).toBe(200)
  })
})

describe('POST /v1/diagnose on learned rates', () => {
  test('answers a shop without outcomes as published, bit for bit', async () => {
    const published = await diagnose(north)
    expect(await diagnose(north, { rates: 'learned' }).then(({ body }) => JSON.stringify(body))).toBe(
      JSON.stringify(published.body),
    )
    await closeCalls(database, 'north', closed(50, 50, { confirmed: [{ cause: WORN, by: 'said' }] }))
    await rates(north)
    expect((await diagnose(north, { rates: 'learned' })).body).toEqual(published.body)
  })

  test('moves towards what the shop found, names the set, and leaves the default alone', async () => {
    const before = (await diagnose(north)).body
    await closeCalls(database, 'north', closed(200, 10))
    const learned = (await diagnose(north, { rates: 'learned' })).body
    expect(learned.basis.rates).toMatchObject({ id: expect.stringMatching(/^learned-[0-9a-f]{16}$/) })
    expect(probabilityOf(learned, OUTAGE)).toBeGreaterThan(probabilityOf(before, OUTAGE))
    expect(probabilityOf(learned, WORN)).toBeLessThan(probabilityOf(before, WORN))
    expect((await diagnose(north)).body).toEqual(before)
  })

  test('is repeated exactly by the id of its set, after calls came and after all were erased', async () => {
    await closeCalls(database, 'north', closed(60, 50))
    const first = (await diagnose(north, { rates: 'learned' })).body
    const { id } = first.basis.rates
    await closeCalls(database, 'north', closed(60, 0, { remedy: 'remedy/none' }))
    await rates(north)
    const later = (await diagnose(north, { rates: 'learned' })).body
    expect(later.basis.rates.id).not.toBe(id)
    expect((await diagnose(north, { rates: id })).body).toEqual(first)
    await eraseCalls(database, 'north')
    expect((await diagnose(north, { rates: 'learned' })).body.basis.rates.id).toBe('published')
    expect((await diagnose(north, { rates: id })).body).toEqual(first)
  })

  test('stays on the set of the day while calls are closed, until somebody looks', async () => {
    await closeCalls(database, 'north', closed(60, 50))
    const set = async () => (await diagnose(north, { rates: 'learned' })).body.basis.rates.id
    const first = await set()
    await closeCalls(database, 'north', [
      { call: 'later', closedAt: Date.now(), confirmed: [{ cause: WORN, by: 'check' }] },
    ])
    expect(await set()).toBe(first)
    await new Promise((resolve) => setTimeout(resolve, 3))
    const { basis } = await rates(north)
    expect(basis.rates.id).not.toBe(first)
    expect(await set()).toBe(basis.rates.id)
  })

  test('keeps counts and no call: the hash of a kept set is that of its content', async () => {
    await closeCalls(database, 'north', closed(60, 50))
    const { basis } = await rates(north)
    const { status, body } = await ask(north, 'GET', `/v1/rates/${basis.rates.id}`)
    expect([status, body.basis.rates]).toEqual([200, basis.rates])
    expect(await sha256Hex(JSON.stringify(body.set))).toBe(basis.rates.sha256)
    expect(JSON.stringify(body)).not.toContain('call-')
    expect(body.rates.length).toBe(currentRelease().compiled.causes.length)
  })

  test.each([
    ['an unknown set', 'learned-0123456789abcdef', 'UNKNOWN_ID'],
    ['no name of rates', 'mine', 'INPUT_INVALID'],
  ])('is refused with %s', async (_, name, code) => {
    const { status, body } = await diagnose(north, { rates: name })
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, code, '/rates'])
  })
})

describe('settings', () => {
  test('begin with learning on and sharing off, and are replaced by those who have read them', async () => {
    const read = await ask(north, 'GET', '/v1/rates/settings')
    expect(read.body).toEqual({ learning: true, pooling: false, countsFrom: null })
    const put = await settle(north, { learning: false })
    expect([put.status, put.body.learning]).toEqual([200, false])
    const again = await ask(north, 'GET', '/v1/rates/settings')
    expect([again.body, again.headers.get('ETag')]).toEqual([put.body, put.headers.get('ETag')])
    const stale = await ask(north, 'PUT', '/v1/rates/settings', put.body, { 'If-Match': read.headers.get('ETag')! })
    expect([stale.status, stale.body.code]).toEqual([412, 'PRECONDITION_FAILED'])
    const blind = await ask(north, 'PUT', '/v1/rates/settings', put.body)
    expect([blind.status, blind.body.code]).toEqual([428, 'PRECONDITION_REQUIRED'])
  })

  test('let one of two writers through who read the same version', async () => {
    const body = { learning: false, pooling: false, countsFrom: null }
    const tries = [1, 2, 3, 4].map(() => ask(north, 'PUT', '/v1/rates/settings', body, { 'If-Match': '"settings-0"' }))
    expect((await Promise.all(tries)).map(({ status }) => status).sort()).toEqual([200, 412, 412, 412])
  })

  test('turn learning off: "learned" answers as published', async () => {
    await closeCalls(database, 'north', closed(60, 50))
    const published = (await diagnose(north)).body
    await settle(north, { learning: false })
    expect((await diagnose(north, { rates: 'learned' })).body).toEqual(published)
    expect((await rates(north)).basis.rates.id).toBe('published')
  })

  test('reset: only calls closed from then on count', async () => {
    await closeCalls(database, 'north', closed(60, 50))
    await settle(north, { countsFrom: new Date().toISOString() })
    expect((await rates(north)).calls.known).toBe(0)
    expect((await diagnose(north, { rates: 'learned' })).body.basis.rates.id).toBe('published')
    await closeCalls(database, 'north', [
      { call: 'new', closedAt: Date.now(), confirmed: [{ cause: WORN, by: 'check' }] },
    ])
    await new Promise((resolve) => setTimeout(resolve, 3))
    expect((await rates(north)).calls.known).toBe(1)
    await settle(north, { countsFrom: null })
    expect((await rates(north)).calls.known).toBe(61)
  })

  test('take no reset in the future', async () => {
    const { status, body } = await settle(north, { countsFrom: '2999-01-01T00:00:00Z' })
    expect([status, body.errors[0].pointer, body.errors[0].code]).toEqual([422, '/countsFrom', 'IN_THE_FUTURE'])
  })
})

describe('a pool of shops', () => {
  const LAST_MONTH = Date.now() - MONTH
  /** Shops with 40 calls each of last month, 20 of them a worn battery. */
  async function shops(count: number, worn = 20): Promise<Send[]> {
    const list: Send[] = []
    for (let at = 0; at < count; at++) {
      const name = `shop-${at}`
      list.push(await shop(name))
      await closeCalls(database, name, closed(40, worn, { closedAt: LAST_MONTH }))
    }
    return list
  }
  const join = async (list: readonly Send[]) => {
    for (const send of list) expect((await settle(send, { pooling: true })).status).toBe(200)
  }
  const pooled = async (send: Send) => ofCause(await rates(send, '?causes=all'), WORN).pooled

  test('is not made of four, is made of five, and is gone when one leaves', async () => {
    const list = await shops(5)
    await join(list.slice(0, 4))
    for (const send of list) expect(await pooled(send)).toBeUndefined()
    await join(list.slice(4))
    // The four others: 80 of 160 calls, on top of two cases that the published rate is worth.
    for (const send of list) expect(await pooled(send)).toBe(Number(((2 + 80) / (2 / 0.0891 + 160)).toPrecision(2)))
    await settle(list[2]!, { pooling: false })
    for (const send of list) expect(await pooled(send)).toBeUndefined()
  })

  test('helps a shop that has few calls of its own, and nobody who does not consent', async () => {
    await join(await shops(6))
    const small = await shop('small')
    expect(ofCause(await rates(small, '?causes=all'), WORN)).toMatchObject({ learned: 0.0891 })
    await join([small])
    const worn = ofCause(await rates(small), WORN)
    expect(worn.pooled).toBeGreaterThan(0.4)
    expect(worn.learned).toBe(worn.pooled)
    const { body } = await diagnose(small, { rates: 'learned' })
    expect(body.basis.rates.id).toMatch(/^learned-/)
  })

  test('does not follow the calls of the running month', async () => {
    const list = await shops(5)
    await join(list)
    const before = await pooled(list[0]!)
    await closeCalls(database, 'shop-1', closed(500, 0, { remedy: 'remedy/none' }))
    await rates(list[1]!)
    expect(await pooled(list[0]!)).toBe(before)
  })

  test('leaves the counts of a shop out once it turned learning off or reset them', async () => {
    for (const settings of [
      { learning: false, pooling: true },
      { pooling: true, countsFrom: new Date().toISOString() },
    ]) {
      database = await openDatabase(':memory:')
      opened.push(database)
      const list = await shops(5)
      await join(list)
      expect(await pooled(list[0]!)).toBeDefined()
      await settle(list[4]!, settings)
      expect(await pooled(list[0]!)).toBeUndefined()
    }
  })

  test('shows nobody a name, a call or a count of another', async () => {
    const list = await shops(5)
    await join(list)
    const body = await rates(list[0]!, '?causes=all')
    const kept = (await ask(list[0]!, 'GET', `/v1/rates/${body.basis.rates.id}`)).body
    expect(body.calls.known).toBe(40)
    expect(ofCause(body, WORN).confirmed).toBeCloseTo(20 * 2 ** (-1 / 24), 1)
    for (const answer of [body, kept]) expect(JSON.stringify(answer)).not.toMatch(/shop-\d|call-\d/)
    const { rows } = await database.client.execute('select body from learning_pools')
    expect(rows.length).toBe(1)
    expect(String(rows[0]!.body)).not.toMatch(/shop-\d/)
  })
})

describe('another shop', () => {
  test('neither sees nor uses the sets, counts and settings of this one', async () => {
    const south = await shop('south')
    await closeCalls(database, 'north', closed(60, 50))
    const { id } = (await rates(north)).basis.rates
    await settle(north, { learning: false })
    expect((await ask(south, 'GET', `/v1/rates/${id}`)).status).toBe(404)
    expect((await diagnose(south, { rates: id })).status).toBe(422)
    const body = await rates(south)
    expect([body.calls.known, body.causes, body.settings.learning]).toEqual([0, [], true])
    expect((await ask(south, 'PUT', '/v1/rates/settings', body.settings, { 'If-Match': '"settings-1"' })).status).toBe(
      412,
    )
  })

  test('with the same number of calls as another keeps its own counts apart', async () => {
    const south = await shop('south')
    await closeCalls(database, 'north', closed(30, 30))
    await closeCalls(database, 'south', closed(30, 0))
    expect(ofCause(await rates(north), WORN).confirmed).toBe(30)
    expect(ofCause(await rates(south), WORN)).toBeUndefined()
  })
})

test('device causes count for each device that was kept apart', async () => {
  const { causes } = currentRelease().compiled
  const { id: cause } = causes.find(({ isPerDevice }) => isPerDevice)!
  const predicted = [
    ...['a', 'b', 'c'].map((device) => ({ cause, device, probability: 0.1, prior: 0.01 })),
    { cause, probability: 0, prior: 0 },
  ]
  await closeCalls(database, 'north', [
    ...closed(10, 10, { predicted, confirmed: [{ cause, device: 'b', by: 'check' }] }),
    ...closed(7, 7),
    ...closed(2, 2, { predicted: [{ cause, probability: 0.2, prior: 0.01 }] }),
  ])
  expect(ofCause(await rates(north), cause)).toMatchObject({ confirmed: 10, known: 32, unknown: 0 })
})

test('more outcomes than a page holds are all counted, those of one moment too', async () => {
  await closeCalls(database, 'north', closed(1203, 400, { closedAt: Date.now() - 5000 }))
  expect((await rates(north)).calls.known).toBe(1203)
})

test('findings of a condition alone still answer on learned rates', async () => {
  await closeCalls(database, 'north', closed(10, 5))
  const { status } = await ask(north, 'POST', '/v1/diagnose', {
    findings: [condition('battery-low')],
    rates: 'learned',
  })
  expect(status).toBe(200)
})
