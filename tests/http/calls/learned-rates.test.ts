import { afterEach, beforeEach, expect, test } from 'vitest'
import { ask, type Send } from '../../support/service.ts'
import { add, BATTERY, found, MAINS, open, twoShops } from '../../support/shop-calls.ts'

const WORN = 'cause/battery-worn-out'
const LIMITS = { who: 'caller', tools: [], at: '2026-03-02T10:00:00Z' }
const BY_CHECK = { conclusion: 'confirmed', confirmed: [{ cause: WORN, by: 'check' }] }

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
let south: Send
beforeEach(async () => {
  shops = await twoShops()
  ;({ north, south } = shops)
})
afterEach(() => shops.database.client.close())

async function advised(send: Send): Promise<{ call: string; answer: any }> {
  const { call } = (await open(send)).body
  await add(send, call, 'findings', found(MAINS, BATTERY))
  const { status, body } = await add(send, call, 'advice', { limits: LIMITS })
  expect(status).toBe(200)
  return { call, answer: body.answer }
}
async function closed(send: Send, ending: object = BY_CHECK): Promise<string> {
  const { call } = await advised(send)
  expect((await add(send, call, 'close', ending)).status).toBe(200)
  return call
}
async function closedOften(send: Send, count: number): Promise<string[]> {
  const made: string[] = []
  for (let left = count; left > 0; left--) made.push(await closed(send))
  return made
}
/** Looks at the rates, which takes in what was closed before this moment. */
async function ratesOf(send: Send) {
  await new Promise((resolve) => setTimeout(resolve, 3))
  const { body } = await ask(send, 'GET', '/v1/rates')
  return { ...body, worn: body.causes.find((one: any) => one.cause === WORN) }
}
const probabilityOf = (answer: any) => answer.causes.find(({ cause }: any) => cause === WORN).probability
const diagnosed = async (send: Send, rates: string) =>
  (await ask(send, 'POST', '/v1/diagnose', { findings: [MAINS, BATTERY], limits: LIMITS, rates })).body
const replay = async (call: string) => (await ask(north, 'GET', `/v1/calls/${call}/replay`)).body
async function outcomeOf(call: string) {
  const { rows } = await shops.database.client.execute({
    sql: 'select rates_id, remedy, predicted from call_outcomes where call_id = ?',
    args: [call],
  })
  return { ...rows[0], predicted: JSON.parse(String(rows[0]!.predicted)) } as any
}
async function settle(send: Send, learning: boolean) {
  const { headers } = await ask(send, 'GET', '/v1/rates/settings')
  const body = { learning, pooling: false, countsFrom: null }
  await ask(send, 'PUT', '/v1/rates/settings', body, { 'If-Match': headers.get('ETag')! })
}

test('what a shop confirmed in its calls counts, and its next call is advised and closed on it', async () => {
  const before = await advised(north)
  const elsewhere = await advised(south)
  expect([before.answer, elsewhere.answer]).toEqual(Array(2).fill(await diagnosed(north, 'published')))

  await closedOften(north, 12)
  const { worn, calls, basis } = await ratesOf(north)
  expect([calls.known, worn.confirmed]).toEqual([12, 12])
  expect(worn.learned).toBeGreaterThan(2 * worn.published)

  const next = await advised(north)
  expect(next.answer.basis.rates).toEqual(basis.rates)
  expect(next.answer).toEqual(await diagnosed(north, 'learned'))
  expect(probabilityOf(next.answer)).toBeGreaterThan(probabilityOf(before.answer))
  expect(await diagnosed(north, 'published')).toEqual(before.answer)
  const again = await advised(south)
  expect(JSON.stringify(again.answer)).toBe(JSON.stringify(elsewhere.answer))

  await add(north, next.call, 'close', BY_CHECK)
  const { rates_id, predicted } = await outcomeOf(next.call)
  expect(rates_id).toBe(basis.rates.id)
  const held = predicted.find(({ cause }: any) => cause === WORN)
  expect(held.probability).toBeCloseTo(probabilityOf(next.answer), 5)
  expect(held.prior).toBeCloseTo(worn.learned, 5)
  await add(south, again.call, 'close', BY_CHECK)
  expect((await outcomeOf(again.call)).rates_id).toBe('published')
})

test('erased calls are missing from the next set', async () => {
  const made = await closedOften(north, 6)
  const all = await ratesOf(north)
  for (const call of made.slice(0, 4)) await ask(north, 'DELETE', `/v1/calls/${call}`, undefined, { 'If-Match': '*' })
  const next = await advised(north)
  const { worn, basis } = await ratesOf(north)
  expect(next.answer.basis.rates.id).toBe(basis.rates.id)
  expect([all.worn.confirmed, worn.confirmed]).toEqual([6, 2])
  expect(worn.learned).toBeLessThan(all.worn.learned)
  for (const call of made.slice(4)) await ask(north, 'DELETE', `/v1/calls/${call}`, undefined, { 'If-Match': '*' })
  expect((await advised(north)).answer).toEqual(await diagnosed(north, 'published'))
})

test('a replay uses the set that the stored answer names, and says so when that is gone', async () => {
  const made = await closedOften(north, 6)
  const { basis } = await ratesOf(north)
  const { call, answer } = await advised(north)
  for (const one of made) await ask(north, 'DELETE', `/v1/calls/${one}`, undefined, { 'If-Match': '*' })
  const kept = await replay(call)
  expect([kept.isSame, kept.isOtherRates, kept.now.rates]).toEqual([true, false, basis.rates])
  expect(kept.sentence).toContain('The same engine, release and rates give the same answer')

  await shops.database.client.execute({ sql: 'delete from rate_sets where id = ?', args: [basis.rates.id] })
  const gone = await replay(call)
  expect([gone.isSame, gone.isOtherRates, gone.now.rates.id]).toEqual([false, true, 'published'])
  expect(gone.sentence).toContain(`on published rates, as the set ${basis.rates.id} of the stored answer is not kept`)
  const published = probabilityOf(await diagnosed(north, 'published'))
  expect(gone.causes.find((one: any) => one.cause === WORN)).toMatchObject({
    before: probabilityOf(answer),
    after: published,
  })
})

test('an answer on published rates is replayed on them, whatever was learned since', async () => {
  const { call } = await advised(north)
  await closedOften(north, 6)
  const { basis } = await ratesOf(north)
  expect(basis.rates.id).not.toBe('published')
  expect(await replay(call)).toMatchObject({ isSame: true, isOtherRates: false, now: { rates: { id: 'published' } } })
})

test('a shop that does not want to learn is advised as published, to the last bit', async () => {
  await closedOften(north, 6)
  await ratesOf(north)
  await settle(north, false)
  const { call, answer } = await advised(north)
  expect(JSON.stringify(answer)).toBe(JSON.stringify(await diagnosed(north, 'published')))
  await add(north, call, 'close', BY_CHECK)
  expect((await outcomeOf(call)).rates_id).toBe('published')
})

test('a repair counts by the remedy that cleared the trouble, until it came back', async () => {
  const byRepair = {
    conclusion: 'confirmed',
    confirmed: [{ cause: WORN, by: 'repair' }],
    remedy: 'remedy/replace-storage-battery',
  }
  const call = await closed(north, byRepair)
  expect((await ratesOf(north)).worn).toMatchObject({ confirmed: 1, claimed: 0 })
  await add(north, call, 'follow-up', { by: 'caller', answer: 'something-else' })
  expect((await ratesOf(north)).worn).toMatchObject({ confirmed: 1, claimed: 0 })
  await add(north, call, 'follow-up', { by: 'caller', answer: 'came-back' })
  const { worn, notCounted } = await ratesOf(north)
  expect(worn).toMatchObject({ confirmed: 0, claimed: 1 })
  expect(notCounted).toMatchObject([{ reason: 'repair-without-clearing', count: 1 }])
})

test('causes of a device are counted for each device that was spoken of, and for none where none was', async () => {
  const sensor = (device: string) => ({
    kind: 'condition',
    condition: 'condition/radio-sensor-battery-low',
    state: 'present',
    device,
  })
  const ended = { conclusion: 'confirmed', confirmed: [{ cause: 'cause/cell-worn', device: 'hall', by: 'check' }] }
  const { call } = (await open(north)).body
  await add(north, call, 'findings', found(sensor('hall'), sensor('door')))
  expect((await add(north, call, 'close', ended)).status).toBe(200)
  await closed(north)
  const { predicted } = await outcomeOf(call)
  expect(new Set(predicted.flatMap(({ device }: any) => device ?? []))).toEqual(new Set(['hall', 'door']))
  const { causes } = await ratesOf(north)
  expect(causes.find(({ cause }: any) => cause === 'cause/cell-worn')).toMatchObject({ confirmed: 1, known: 2 })
  expect(causes.find(({ cause }: any) => cause === WORN)).toMatchObject({ confirmed: 1, known: 2 })
})
