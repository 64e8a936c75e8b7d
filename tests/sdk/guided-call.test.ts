import { describe, expect, test } from 'vitest'
import { GuidedCall } from '../../sdk/src/index.ts'
import { offlineAtlas } from '../../sdk/src/offline.ts'

const atlas = offlineAtlas()
const BATTERY_LOW = { kind: 'condition', condition: 'condition/battery-low', state: 'present' } as const
const settings = { limits: { who: 'handy', tools: ['multimeter'] } } as const
const begun = async () => {
  const call = new GuidedCall(atlas, { settings: structuredClone(settings) as never })
  await call.add(BATTERY_LOW)
  return call
}

test('danger signs are asked about first, then what tells most, until the end', async () => {
  const call = await begun()
  const dangers = call.view.diagnosis!.dangerQuestions
  expect(dangers.length).toBeGreaterThan(5)
  for (const { check, sign, results } of dangers) {
    expect(call.view.question!.check).toBe(check)
    await call.answer(results.find(({ result }) => result !== sign)!.result)
  }
  expect(call.view.question!.check).toBe(call.view.diagnosis!.nextChecks[0]!.check)
  for (let asked = 0; asked < 40 && call.view.question; asked++) await call.answer('dont-know')
  expect(call.view.diagnosis!.stop).not.toBeNull()
  await expect(async () => call.answer('dont-know')).rejects.toThrow('no question')
})

test('a danger sign that nobody could rule out is put once and stays listed', async () => {
  const call = await begun()
  const dangers = call.view.diagnosis!.dangerQuestions.map(({ check }) => check)
  for (const check of dangers) {
    expect(call.view.question!.check).toBe(check)
    await call.answer('dont-know')
  }
  expect(call.view.question!.check).toBe(call.view.diagnosis!.nextChecks[0]!.check)
  expect(call.view.diagnosis!.dangerQuestions.map(({ check }) => check)).toEqual(dangers)
})

test('undo takes back the last finding and comes to the same answer as before', async () => {
  const call = await begun()
  const before = call.view.diagnosis
  await call.add({ kind: 'condition', condition: 'condition/mains-missing', state: 'present' })
  expect(call.view.diagnosis).not.toEqual(before)
  await call.undo()
  expect(call.view.findings).toEqual([BATTERY_LOW])
  expect(call.view.diagnosis).toEqual(before)
})

test('a call goes on elsewhere from what it was written as', async () => {
  const call = await begun()
  const again = new GuidedCall(atlas, JSON.parse(JSON.stringify(call)))
  await again.start()
  expect(again.view.diagnosis).toEqual(call.view.diagnosis)
})

test('listeners hear of each view until they leave, and an unchanged view stays the same object', async () => {
  const call = new GuidedCall(atlas)
  const heard: boolean[] = []
  const leave = call.subscribe(() => heard.push(call.view.isBusy))
  await call.add(BATTERY_LOW)
  expect(heard).toEqual([true, false])
  expect(call.view).toBe(call.view)
  leave()
  await call.start()
  expect(heard).toHaveLength(2)
})

test('a failure keeps the answer before it, says why, and is mended by starting again', async () => {
  let isDown = false
  const call = new GuidedCall({
    diagnose: (body, options) => (isDown ? Promise.reject(new Error('down')) : atlas.diagnose(body, options)),
  })
  await call.add(BATTERY_LOW)
  const before = call.view.diagnosis
  isDown = true
  await call.add({ kind: 'screen', complete: true })
  expect([call.view.error, call.view.diagnosis, call.view.findings.length]).toEqual([new Error('down'), before, 2])
  isDown = false
  await call.start()
  expect([call.view.error, call.view.isBusy]).toEqual([undefined, false])
})

test('only the last of several changes at once is shown', async () => {
  const call = new GuidedCall(atlas)
  const first = call.add(BATTERY_LOW)
  const second = call.add({ kind: 'screen', complete: true })
  await Promise.all([first, second])
  expect(call.view.findings).toHaveLength(2)
  expect(call.view.isBusy).toBe(false)
})

test('the part classes that the plan needs come once each, and a match accepts them', async () => {
  const call = await begun()
  const [partClass, ...others] = call.partClasses()
  expect(others).not.toContain(partClass)
  const { value } = await atlas.matchParts({
    partClass: partClass!,
    constraints: [],
    quantity: 1,
    adaptersAllowed: false,
    limit: 5,
    items: [],
  })
  expect(value.isNoMatch).toBe(true)
})

test('the summary names causes, steps and cautions', async () => {
  expect(new GuidedCall(atlas).summary()).toBe('Nothing has been diagnosed yet.')
  const call = await begun()
  const { causes, cautions } = call.view.diagnosis!
  const summary = call.summary()
  expect(summary).toContain(causes[0]!.label)
  expect(summary).toContain(`Caution: ${cautions[0]!.text}`)
  expect(summary).toContain('Call back when')
})

describe('a question that is put once more after something was lifted', () => {
  const ON_TEST = 'check/ask-on-test'
  const answers = (call: GuidedCall) =>
    call.view.findings.flatMap((one) => (one.kind === 'answer' && one.check === ON_TEST ? [one.result] : []))

  /** A call without a danger in which the lifting has come to the front. */
  async function held() {
    const call = new GuidedCall(atlas, { settings: structuredClone(settings) as never })
    await call.add(
      { kind: 'condition', condition: 'condition/battery-missing', state: 'present' },
      { kind: 'answer', check: ON_TEST, result: 'not-on-test' },
      { kind: 'answer', check: 'check/ask-power-feed', result: 'plug-in-block' },
      { kind: 'screen', complete: true },
    )
    const safe = ({ sign, results }: { sign: string; results: { result: string }[] }) =>
      results.find(({ result }) => result !== sign)!.result
    for (let asked = 0; asked < 60 && call.view.question && !('lift' in call.view.question); asked++)
      await call.answer('sign' in call.view.question ? safe(call.view.question) : 'dont-know')
    return call
  }

  test('takes the place of its earlier answer where it is another, so that the two do not contradict', async () => {
    const call = await held()
    expect(call.view.question).toMatchObject({ check: ON_TEST, lift: expect.any(Array) })
    await call.answer('on-test')
    expect(answers(call)).toEqual(['on-test'])
    expect(call.view.diagnosis!.contradictions).toEqual([])
  })

  test('is not put again once nothing was lifted', async () => {
    const call = await held()
    await call.answer('not-on-test')
    expect(answers(call)).toEqual(['not-on-test', 'not-on-test'])
    expect(call.view.question === undefined || !('lift' in call.view.question)).toBe(true)
  })
})
