import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { currentRelease } from '../../../src/ontology/release.ts'
import { ask, type Send } from '../../support/service.ts'
import { add, BATTERY, CONFIRMED, closedCall, found, MAINS, newKey, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
})
afterAll(() => shops.database.client.close())

const newCall = async (body: object = {}) => (await open(north, body)).body.call as string

describe('POST /v1/calls', () => {
  test('opens a call pinned to a release, at the place it names', async () => {
    const { status, headers, body } = await open(north, { siteRef: 'site-0147', release: '0.2.0', reachBy: 'relay' })
    expect([status, body.status, body.release, body.seq, body.siteRef]).toEqual([201, 'open', '0.2.0', 1, 'site-0147'])
    expect([headers.get('Location'), headers.get('ETag')]).toEqual([`/v1/calls/${body.call}`, '"1"'])
    expect(headers.get('Cache-Control')).toBe('private, no-cache')
    expect((await ask(north, 'GET', body.path)).body).toEqual(body)
  })

  test('opens one call for one key and body, however often and at once it is sent', async () => {
    const key = newKey()
    const all = await Promise.all(Array.from({ length: 8 }, () => open(north, { siteRef: 'site-2' }, key)))
    expect(new Set(all.map(({ body }) => body.call)).size).toBe(1)
    expect(new Set(all.map(({ status }) => status))).toEqual(new Set([201]))
    expect((await ask(north, 'GET', '/v1/calls?siteRef=site-2')).body.items).toHaveLength(1)
  })

  test('answers a repeated key as it did first, though the call went on since', async () => {
    const key = newKey()
    const first = await open(north, { siteRef: 'site-3' }, key)
    await add(north, first.body.call, 'findings', found(MAINS))
    const again = await open(north, { siteRef: 'site-3' }, key)
    expect([again.body, again.headers.get('ETag')]).toEqual([first.body, '"1"'])
  })

  test('refuses a key that was sent with another body', async () => {
    const key = newKey()
    await open(north, { siteRef: 'site-4' }, key)
    const { status, body } = await open(north, { siteRef: 'site-5' }, key)
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'IDEMPOTENCY_KEY_REUSED', 'Idempotency-Key'])
  })

  test('refuses to open without a key of its own, or with a malformed one', async () => {
    const none = await ask(north, 'POST', '/v1/calls', {})
    const short = await open(north, {}, 'short')
    expect([none.status, none.body.code, short.status]).toEqual([400, 'IDEMPOTENCY_KEY_INVALID', 400])
  })

  test.each([
    ['an unknown release', { release: '9.9.9' }, '/release'],
    ['a telephone number as contact', { contactRef: '5550142233' }, '/contactRef'],
    ['a spelled-out one', { contactRef: '555-014-2233' }, '/contactRef'],
    ['an e-mail address as contact', { contactRef: 'ann@home.example' }, '/contactRef'],
    ['a name field', { name: 'Ann' }, '/name'],
    ['a time without a zone', { callbackDue: '2026-01-01T00:00:00' }, '/callbackDue'],
  ])('refuses %s', async (_, body, pointer) => {
    const { status, body: problem } = await open(north, body)
    expect([status, problem.errors[0].pointer]).toEqual([422, pointer])
  })
})

describe('POST /v1/calls/{call}/findings', () => {
  test('keeps findings in order with who said them and when', async () => {
    const call = await newCall()
    const seen = { ...BATTERY, observedAt: '2026-01-02T03:04:05Z' }
    await add(north, call, 'findings', found(MAINS))
    const { status, headers, body } = await add(north, call, 'findings', { by: 'technician', findings: [seen] })
    expect([status, headers.get('ETag'), body.seq]).toEqual([200, '"3"', 3])
    expect(body.findings.map(({ by, seq, finding }: any) => [by, seq, finding])).toEqual([
      ['caller', 2, MAINS],
      ['technician', 3, seen],
    ])
    expect(Date.parse(body.findings[0].at)).toBeGreaterThan(Date.parse('2026-01-01'))
  })

  test.each([
    ['an unknown id', { ...MAINS, condition: 'condition/mains-mising' }, '/findings/0/condition'],
    [
      'a unit that does not fit',
      { kind: 'reading', reading: 'reading/battery-rest-voltage', quantity: { value: 1, unit: 'h' } },
      '/findings/0/quantity',
    ],
    [
      'a telephone number as a device',
      { kind: 'condition', condition: 'condition/radio-device-missing', state: 'present', device: 'call 555 014 2233' },
      '/findings/0/device',
    ],
    ['an e-mail address as a source', { ...MAINS, source: 'ann@home.example' }, '/findings/0/source'],
  ])('refuses %s and keeps nothing', async (_, finding, pointer) => {
    const call = await newCall()
    const { status, body } = await add(north, call, 'findings', found(finding))
    expect(status).toBe(422)
    expect(body.errors[0].pointer).toContain(pointer)
    expect((await ask(north, 'GET', `/v1/calls/${call}`)).body.seq).toBe(1)
  })

  test('refuses more findings than a call may hold', async () => {
    const call = await newCall()
    await add(north, call, 'findings', found(...Array(150).fill(MAINS)))
    const { status, body } = await add(north, call, 'findings', found(...Array(51).fill(MAINS)))
    expect([status, body.code, body.errors[0].limit]).toEqual([409, 'CALL_FULL', 200])
  })
})

describe('POST /v1/calls/{call}/steps', () => {
  const CHECK = 'check/see-lights-dim'

  test('records what was asked, answered, skipped, done and withdrawn; an answer and what was done are findings', async () => {
    const call = await newCall()
    const step = (body: object) => add(north, call, 'steps', { by: 'caller', ...body })
    await step({ kind: 'asked', check: CHECK })
    await step({ kind: 'answered', check: CHECK, result: 'steady' })
    await step({ kind: 'skipped', check: 'check/ask-power-feed', reason: 'cannot-reach' })
    await step({ kind: 'tried', remedy: 'remedy/plug-supply-in', result: 'no-change' })
    const { status, body } = await step({ kind: 'withdrawn', finding: 0 })
    expect(status).toBe(200)
    expect(body.steps.map(({ kind }: any) => kind)).toEqual(['asked', 'answered', 'skipped', 'tried', 'withdrawn'])
    expect(body.findings).toMatchObject([
      { finding: { kind: 'answer', check: CHECK, result: 'steady' }, isWithdrawn: true },
      { finding: { kind: 'tried', remedy: 'remedy/plug-supply-in', result: 'no-change' }, isWithdrawn: false },
    ])
    expect(body.steps[3].finding).toBe(1)
  })

  test.each([
    ['an unknown check', { kind: 'asked', check: 'check/nothing' }, '/check'],
    ['a cause in place of a check', { kind: 'asked', check: 'cause/supply-unplugged' }, '/check'],
    ['a result that the check has not', { kind: 'answered', check: CHECK, result: 'perhaps' }, '/result'],
    ['an unknown remedy', { kind: 'tried', remedy: 'remedy/kick-it', result: 'cleared' }, '/remedy'],
    ['a reason nobody knows', { kind: 'skipped', check: CHECK, reason: 'lazy' }, '/reason'],
  ])('refuses %s', async (_, step, pointer) => {
    const { status, body } = await add(north, await newCall(), 'steps', { by: 'caller', ...step })
    expect([status, body.errors[0].pointer]).toEqual([422, pointer])
  })

  test('refuses to withdraw what is not there', async () => {
    const { status, body } = await add(north, await newCall(), 'steps', { by: 'shop', kind: 'withdrawn', finding: 0 })
    expect([status, body.code, body.errors[0].pointer]).toEqual([409, 'CALL_STATE', '/finding'])
  })
})

describe('POST /v1/calls/{call}/notes', () => {
  test('keeps a note without what identifies a person', async () => {
    const call = await newCall()
    const { body } = await add(north, call, 'notes', {
      by: 'shop',
      text: 'rings back from 555 014 2233 or ann@home.example',
    })
    expect(body.notes).toMatchObject([{ text: 'rings back from [phone] or [e-mail]', isRedacted: true }])
  })

  test('refuses a note over its length and one too many', async () => {
    const call = await newCall()
    const long = await add(north, call, 'notes', { by: 'shop', text: 'x'.repeat(501) })
    expect([long.status, long.body.errors[0].limit]).toEqual([422, 500])
    for (let count = 0; count < 50; count++) await add(north, call, 'notes', { by: 'shop', text: 'x' })
    expect((await add(north, call, 'notes', { by: 'shop', text: 'x' })).body.code).toBe('CALL_FULL')
  })
})

describe('POST /v1/calls/{call}/contact and /attempts', () => {
  test('arranges a callback by references, counts attempts, and takes it away again', async () => {
    const call = await newCall()
    const arranged = { contactRef: 'contact-88', reachBy: 'relay', callbackDue: '2026-03-02T15:00:00+01:00' }
    const { body } = await add(north, call, 'contact', arranged)
    expect(body).toMatchObject({ ...arranged, callbackDue: '2026-03-02T14:00:00.000Z' })
    const tried = await add(north, call, 'attempts', { reachBy: 'text', outcome: 'no-answer' })
    expect(tried.body.attempts).toMatchObject([{ seq: 3, reachBy: 'text', outcome: 'no-answer' }])
    const taken = (await add(north, call, 'contact', { callbackDue: null })).body
    expect(['callbackDue' in taken, taken.contactRef]).toEqual([false, 'contact-88'])
  })

  test('refuses a telephone number', async () => {
    const { status } = await add(north, await newCall(), 'contact', { contactRef: '+15550142233' })
    expect(status).toBe(422)
  })
})

describe('POST /v1/calls/{call}/close, /follow-up and /reopen', () => {
  const outcomes = async (call: string) =>
    (await shops.database.client.execute({ sql: 'select * from call_outcomes where call_id = ?', args: [call] })).rows

  test('closes with what it was, asks the closing question, and tells learning what was held before', async () => {
    const body = await closedCall(north)
    expect(body).toMatchObject({ status: 'closed', outcome: { conclusion: 'confirmed', remedy: CONFIRMED.remedy } })
    expect(body.outcome.closingQuestion.answers.map(({ answer }: any) => answer)).toEqual([
      'cleared',
      'came-back',
      'something-else',
    ])
    const [row] = await outcomes(body.call)
    expect(row).toMatchObject({
      shop_id: 'north',
      release: currentRelease().version,
      conclusion: 'confirmed',
      rates_id: 'published',
    })
    expect(JSON.parse(String(row!.confirmed))).toEqual(CONFIRMED.confirmed)
    const answer = (await ask(north, 'GET', body.advice[0].path)).body.answer
    const predicted = JSON.parse(String(row!.predicted)) as {
      cause: string
      device?: string
      probability: number
      prior: number
    }[]
    for (const { cause, probability } of answer.causes)
      expect(predicted.find((one) => one.cause === cause)!.probability).toBeCloseTo(probability, 5)
    expect(predicted.find(({ cause }) => cause === 'cause/socket-switched-off')!.prior).toBeGreaterThan(0)
    expect(predicted.every(({ prior, probability }) => prior >= 0 && probability >= 0 && probability <= 1)).toBe(true)
  })

  test('what a call learns is gone once it is reopened, and there again after the next close', async () => {
    const { call } = await closedCall(north)
    const reopened = await add(north, call, 'reopen', { reason: 'came-back' })
    expect([reopened.body.status, 'outcome' in reopened.body, await outcomes(call)]).toEqual(['open', false, []])
    await add(north, call, 'close', { conclusion: 'gone-by-itself' })
    expect(await outcomes(call)).toMatchObject([{ conclusion: 'gone-by-itself', confirmed: '[]', remedy: null }])
  })

  test('takes the answer to the closing question from a closed call only', async () => {
    const { call } = await closedCall(north)
    const { body } = await add(north, call, 'follow-up', { by: 'caller', answer: 'cleared' })
    expect(body.followUps).toMatchObject([{ by: 'caller', answer: 'cleared' }])
    const early = await add(north, await newCall(), 'follow-up', { by: 'caller', answer: 'cleared' })
    expect([early.status, early.body.code]).toEqual([409, 'CALL_STATE'])
  })

  test.each([
    [
      'a cause nobody knows',
      { ...CONFIRMED, confirmed: [{ cause: 'cause/gremlins', by: 'check' }] },
      422,
      '/confirmed/0/cause',
    ],
    ['a remedy nobody knows', { ...CONFIRMED, remedy: 'remedy/kick-it' }, 422, '/remedy'],
    ['a confirmation without a cause', { conclusion: 'confirmed' }, 409, '/confirmed'],
    ['a cause where nothing was confirmed', { ...CONFIRMED, conclusion: 'not-confirmed' }, 409, '/confirmed'],
    [
      'a way to know that is none',
      { ...CONFIRMED, confirmed: [{ cause: 'cause/supply-unplugged', by: 'guess' }] },
      422,
      '/confirmed/0/by',
    ],
  ])('refuses %s', async (_, close, status, pointer) => {
    const refused = await add(north, await newCall(), 'close', close)
    expect([refused.status, refused.body.errors[0].pointer]).toEqual([status, pointer])
  })

  test('a closed call takes no findings until it is reopened', async () => {
    const { call } = await closedCall(north)
    expect((await add(north, call, 'findings', found(MAINS))).body.code).toBe('CALL_STATE')
    await add(north, call, 'reopen', { reason: 'something-else' })
    expect((await add(north, call, 'findings', found(MAINS))).status).toBe(200)
  })
})

describe('a sign of danger in a write that is refused', () => {
  const sign = { kind: 'answer', check: 'check/danger-burning', result: 'burning' }
  const unknown = { ...MAINS, condition: 'condition/nonsense' }

  test.each([
    ['with a finding that the release does not know', found(sign, unknown), 'UNKNOWN_ID'],
    ['with a field too many', { ...found(sign), colour: 'red' }, 'INPUT_INVALID'],
  ])('is answered in the problem, and nothing is kept: %s', async (_, body, code) => {
    const call = await newCall()
    const refused = await add(north, call, 'findings', body)
    expect([refused.status, refused.body.code, refused.body.danger.acts.length]).toEqual([422, code, 1])
    expect(refused.headers.get('Content-Type')).toBe('application/problem+json')
    expect((await ask(north, 'GET', `/v1/calls/${call}`)).body.findings).toEqual([])
  })

  test('is answered also as a step, and for a call that is not one of the shop', async () => {
    const step = { kind: 'answered', by: 'caller', check: sign.check, result: sign.result }
    const call = await newCall()
    const wrong = await add(north, call, 'steps', { ...step, minutes: 'two' })
    const absent = await add(shops.south, call, 'findings', found(sign), '"1"')
    expect([wrong, absent].map(({ body }) => body.danger?.acts.length)).toEqual([1, 1])
  })

  test('is not looked for in what is refused unread for want of a key', async () => {
    const { status, body } = await ask(shops.anyone, 'POST', '/v1/calls/any/findings', found(sign))
    expect([status, 'danger' in body]).toEqual([401, false])
  })

  test('is told of no write without one', async () => {
    const { body } = await add(north, await newCall(), 'findings', found({ ...sign, result: 'no' }, unknown))
    expect([body.code, 'danger' in body]).toEqual(['UNKNOWN_ID', false])
  })
})
