import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { currentRelease } from '../../../src/ontology/release.ts'
import { ask, type Send } from '../../support/service.ts'
import { add, BATTERY, closedCall, found, MAINS, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
})
afterAll(() => shops.database.client.close())

const newCall = async (body: object = {}) => (await open(north, body)).body.call as string

const current = currentRelease().version

describe('POST /v1/calls/{call}/advice', () => {
  test('answers as the diagnosis of its findings does, and keeps the answer with its basis', async () => {
    const call = await newCall()
    await add(north, call, 'findings', found(MAINS, BATTERY))
    const limits = { who: 'handy', tools: ['multimeter'], at: '2026-03-02T10:00:00Z' }
    const { status, body, headers } = await add(north, call, 'advice', { limits })
    const plain = await ask(north, 'POST', '/v1/diagnose', { findings: [MAINS, BATTERY], limits })
    expect([status, headers.get('ETag'), body.answer]).toEqual([200, '"3"', plain.body])
    expect((await ask(north, 'GET', `/v1/calls/${call}/advice/3`)).body).toEqual(body)
    const state = (await ask(north, 'GET', `/v1/calls/${call}`)).body
    expect(state.advice[0]).toMatchObject({
      seq: 3,
      basis: plain.body.basis,
      causes: plain.body.causes.slice(0, 5).map(({ cause, shown }: any) => ({ cause, shown })),
      remedies: plain.body.plan.map(({ remedy }: any) => remedy),
    })
  })

  test('leaves withdrawn findings out and keeps the limits of the answer before', async () => {
    const call = await newCall()
    await add(north, call, 'findings', found(MAINS, BATTERY))
    await add(north, call, 'advice', { limits: { who: 'technician', at: '2026-03-02T10:00:00Z' } })
    await add(north, call, 'steps', { kind: 'withdrawn', by: 'shop', finding: 1 })
    const { body } = await add(north, call, 'advice', {})
    const plain = await ask(north, 'POST', '/v1/diagnose', { findings: [MAINS], limits: { who: 'technician' } })
    expect(body.answer.causes.map(({ cause, probability }: any) => [cause, probability])).toEqual(
      plain.body.causes.map(({ cause, probability }: any) => [cause, probability]),
    )
    expect(body.answer.unused).toEqual([1])
  })

  test('goes by what was said last, and still by both where they were sent together', async () => {
    const said = (result: string) => ({ kind: 'answer', check: 'check/ask-on-test', result })
    const [call, atOnce] = [await newCall(), await newCall()]
    await add(north, call, 'findings', found(BATTERY, said('not-on-test')))
    await new Promise((resolve) => setTimeout(resolve, 5))
    await add(north, call, 'findings', found(said('on-test')))
    await add(north, atOnce, 'findings', found(BATTERY, said('not-on-test'), said('on-test')))
    const [later, disputed] = await Promise.all([add(north, call, 'advice', {}), add(north, atOnce, 'advice', {})])
    expect([later.body.answer.contradictions, later.body.answer.unused]).toEqual([[], [1]])
    expect(disputed.body.answer.contradictions).toHaveLength(1)
  })

  test('stays with the release that the call is pinned to', async () => {
    const call = await newCall({ release: '0.2.0' })
    await add(north, call, 'findings', found(MAINS))
    expect((await add(north, call, 'advice', {})).body.answer.basis.release).toBe('0.2.0')
  })

  test('refuses limits that are none, and an answer that is none is not found', async () => {
    const call = await newCall()
    expect((await add(north, call, 'advice', { limits: { who: 'wizard' } })).body.errors[0].pointer).toBe('/limits/who')
    expect((await ask(north, 'GET', `/v1/calls/${call}/advice/1`)).status).toBe(404)
  })
})

describe('GET /v1/calls/{call}/replay', () => {
  const replay = (call: string, query = '') => ask(north, 'GET', `/v1/calls/${call}/replay${query}`)

  test('gives the same answer again from the same engine and release', async () => {
    const { call } = await closedCall(north)
    const { status, body } = await replay(call)
    expect([status, body.isSame, body.isOtherEngine, body.isOtherRelease, body.causes]).toEqual([
      200,
      true,
      false,
      false,
      [],
    ])
  })

  test('says what another release makes of it, and changes nothing that was stored', async () => {
    const { call, advice } = await closedCall(north, { release: '0.2.0' })
    const before = (await ask(north, 'GET', advice[0].path)).body
    const { body } = await replay(call, `?release=${current}&advice=3`)
    expect(body).toMatchObject({ isOtherRelease: true, stored: { release: '0.2.0' }, now: { release: current } })
    expect(body.sentence).toContain(`another release of the ontology (0.2.0 then, ${current} now)`)
    const now = await ask(north, 'POST', '/v1/diagnose', { findings: [MAINS, BATTERY], limits: { who: 'caller' } })
    const probability = (answer: any, cause: string) =>
      answer.causes.find((one: any) => one.cause === cause)?.probability
    for (const { cause, before: was, after } of body.causes)
      expect([was, after]).toEqual([probability(before.answer, cause), probability(now.body, cause)])
    expect(body.isSame).toBe(body.causes.length === 0 && !body.checks && !body.remedies && !body.stop)
    expect((await ask(north, 'GET', advice[0].path)).body).toEqual(before)
  })

  test('says so when another engine gave the stored answer, with what differs', async () => {
    const { call, advice } = await closedCall(north)
    const { answer } = (await ask(north, 'GET', advice[0].path)).body
    const old = structuredClone(answer)
    old.basis.engine = '0.0.1'
    old.causes[0].probability -= 0.125
    await shops.database.client.execute({
      sql: 'update call_answers set body = ? where call_id = ?',
      args: [JSON.stringify(old), call],
    })
    const { body } = await replay(call)
    expect([body.isOtherEngine, body.isSame, body.stored.engine]).toEqual([true, false, '0.0.1'])
    expect(body.sentence).toContain(`another engine (0.0.1 then, ${answer.basis.engine} now)`)
    const { cause, probability } = answer.causes[0]
    expect(body.causes).toEqual([{ cause, before: old.causes[0].probability, after: probability }])
  })

  test('refuses an unknown release and finds nothing where nothing was advised', async () => {
    const { call } = await closedCall(north)
    expect((await replay(call, '?release=9.9.9')).status).toBe(422)
    expect((await replay(call, '?advice=2')).status).toBe(404)
    expect((await replay(await newCall())).status).toBe(404)
  })
})
