import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { currentRelease } from '../../../src/ontology/release.ts'
import { predict } from '../../../src/services/calls/predict.ts'
import { diagnose } from '../../support/calls.ts'
import { ask, type Send } from '../../support/service.ts'
import { add, BATTERY, found, open, twoShops } from '../../support/shop-calls.ts'

let shops: Awaited<ReturnType<typeof twoShops>>
let north: Send
beforeAll(async () => {
  shops = await twoShops()
  north = shops.north
})
afterAll(() => shops.database.client.close())

const REMEDY = 'remedy/replace-storage-battery'
/** One of which nothing else follows. */
const LEADS = 'remedy/seat-battery-leads'
const SCREEN = { kind: 'screen', complete: true }
const step = (result: string, remedy = REMEDY) => ({ kind: 'tried', by: 'caller', remedy, result })

/** A call about a low battery that was changed. */
async function afterTrying(result: string, remedy = REMEDY) {
  const { call } = (await open(north)).body
  await add(north, call, 'findings', found(BATTERY, SCREEN))
  await add(north, call, 'steps', step(result, remedy))
  return call as string
}
const adviceOn = async (call: string) => (await add(north, call, 'advice', {})).body.answer
const probabilitiesOf = ({ causes }: { causes: { cause: string; probability: number }[] }) =>
  causes.map(({ cause, probability }) => [cause, probability])

describe('a remedy that was tried in a call', () => {
  test('counts in its advice as the finding does in a diagnosis', async () => {
    const call = await afterTrying('no-change')
    const finding = { kind: 'tried', remedy: REMEDY, result: 'no-change' }
    const [advised, diagnosed] = [await adviceOn(call), await diagnose([BATTERY, SCREEN, finding])]
    expect(probabilitiesOf(advised)).toEqual(probabilitiesOf(diagnosed))
    expect(advised.plan.map(({ remedy }: { remedy: string }) => remedy)).not.toContain(REMEDY)
    expect((await ask(north, 'GET', `/v1/calls/${call}/replay`)).body.isSame).toBe(true)
  })

  test('can be withdrawn like any finding', async () => {
    const call = await afterTrying('no-change')
    const { body } = await add(north, call, 'steps', { kind: 'withdrawn', by: 'shop', finding: 2 })
    expect(body.findings[2].isWithdrawn).toBe(true)
    expect(probabilitiesOf(await adviceOn(call))).toEqual(probabilitiesOf(await diagnose([BATTERY, SCREEN])))
  })

  test('is replaced by what is said of it later', async () => {
    const call = await afterTrying('no-change', LEADS)
    await add(north, call, 'steps', step('came-back', LEADS))
    const advised = await adviceOn(call)
    expect(advised.unused).toEqual([2, 3])
    expect(probabilitiesOf(advised)).toEqual(probabilitiesOf(await diagnose([BATTERY, SCREEN])))
  })

  test('ends what it cleared until that is seen again', async () => {
    const call = await afterTrying('cleared')
    expect((await adviceOn(call)).clearing).toEqual([])
    await add(north, call, 'findings', found(BATTERY))
    expect((await adviceOn(call)).clearing).toHaveLength(1)
  })

  test('may be told among the findings as well', async () => {
    const { call } = (await open(north)).body
    const tried = { kind: 'tried', remedy: REMEDY, result: 'no-change' }
    const { status } = await add(north, call, 'findings', found(BATTERY, SCREEN, tried))
    expect(status).toBe(200)
    const unknown = await add(north, call, 'findings', found({ ...tried, remedy: 'remedy/kick-it' }))
    expect([unknown.status, unknown.body.errors[0].pointer]).toEqual([422, '/findings/0/remedy'])
    const sheet = await north(`/v1/calls/${call}/summary`, { headers: { Accept: 'text/plain' } })
    expect(await sheet.text()).toContain('caller: Replace the battery in the box: nothing changed')
  })

  test('stands once on the sheet, among what was done', async () => {
    const call = await afterTrying('no-change')
    const sheet = await (await north(`/v1/calls/${call}/summary`, { headers: { Accept: 'text/plain' } })).text()
    expect(sheet.match(/Replace the battery in the box/g)).toHaveLength(1)
    expect(sheet).toContain('Done: Replace the battery in the box: nothing changed')
  })
})

test('what is held of a call at its end is held of the trouble, though a remedy has cleared it', () => {
  const low = { kind: 'condition', condition: 'condition/battery-low', state: 'present' } as const
  const of = (...results: ('cleared' | 'no-change')[]) => {
    const tried = results.map((result) => ({ kind: 'tried' as const, remedy: REMEDY, result }))
    return predict(currentRelease(), { findings: [low, ...tried], limits: { who: 'caller', tools: [] } })
  }
  const worn = (predicted: ReturnType<typeof of>) =>
    predicted.find(({ cause }) => cause === 'cause/battery-worn-out')!.probability
  expect(of('cleared')).toEqual(of())
  expect(worn(of('no-change'))).toBeLessThan(worn(of()))
})
