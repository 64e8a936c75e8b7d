import { describe, expect, test } from 'vitest'
import { DUTIES } from '../../src/domain/power/duties.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const amount = (value: number, unit: string) => ({ value, unit })
const LOADS = [
  { label: 'panel', standbyCurrent: amount(120, 'mA'), alarmCurrent: amount(250, 'mA') },
  { label: 'motion sensor', quantity: 6, standbyCurrent: amount(15, 'mA') },
]
const HOURS = { standbyDuration: amount(24, 'h'), alarmDuration: amount(15, 'min') }
const post = (body: object) => ask(send, 'POST', '/v1/battery/size', body)
async function size(body: object) {
  const { status, body: answer } = await post({ loads: LOADS, ...HOURS, ...body })
  expect(status, JSON.stringify(answer)).toBe(200)
  return answer
}

describe('POST /v1/battery/size answers', () => {
  test('the load, the charge and the capacity by plain arithmetic', async () => {
    // Own arithmetic: standby 0.12 + 6 x 0.015 A, alarm 0.25 + 6 x 0.015 A; 24 h and 1/4 h; ageing 1.25 when not given.
    const { load, loadCharge, requiredCapacity } = await size({})
    expect(load.standbyCurrent.value).toBeCloseTo(0.21, 12)
    expect(load.alarmCurrent.value).toBeCloseTo(0.34, 12)
    expect(loadCharge.value).toBeCloseTo(0.21 * 24 + 0.34 * 0.25, 12)
    expect(requiredCapacity.value).toBeCloseTo((0.21 * 24 + 0.34 * 0.25) * 1.25, 12)
  })

  test('a derivation whose last step is the capacity, each step with its source', async () => {
    const { steps, requiredCapacity } = await size({ temperature: amount(10, 'Cel'), designFactor: 1.1 })
    expect(steps.length).toBeGreaterThan(1)
    for (const step of steps) expect(step.formula && step.substituted && step.source).toBeTruthy()
    expect(steps.at(-1).result).toEqual(requiredCapacity)
  })

  test('the size to take covers the requirement', async () => {
    const { recommended, requiredCapacity } = await size({})
    expect(recommended.capacity.value * recommended.inParallel).toBeGreaterThanOrEqual(requiredCapacity.value)
  })

  test('24 V takes blocks in series of the same capacity', async () => {
    const [at12, at24] = [await size({}), await size({ nominalVoltage: amount(24, 'V') })]
    expect(at24.recommended.inSeries * at24.recommended.blockVoltage.value).toBe(24)
    expect(at24.requiredCapacity).toEqual(at12.requiredCapacity)
  })

  test('the hours of a duty, which own hours take the place of', async () => {
    const { body: byDuty } = await post({ loads: LOADS, duty: 'nfpa-72-household' })
    expect(byDuty.load.standbyDuration.value).toBe(24)
    expect(byDuty.load.alarmDuration.value).toBeCloseTo(4 / 60, 12)
    const { body: own } = await post({ loads: LOADS, duty: 'nfpa-72-household', standbyDuration: amount(48, 'h') })
    expect(own.load.standbyDuration.value).toBe(48)
  })

  test.each(DUTIES.map(({ id }) => id))('the duty %s', async (duty) => {
    const { status, body } = await post({ loads: LOADS, duty })
    expect(status).toBe(200)
    expect(body.requiredCapacity.value).toBeGreaterThanOrEqual(body.loadCharge.value)
  })

  test('the same in any unit of a quantity', async () => {
    const loads = [{ standbyCurrent: amount(0.21, 'A'), alarmCurrent: amount(340_000, 'uA') }]
    const hours = { standbyDuration: amount(1, 'd'), alarmDuration: amount(900, 's') }
    const other = await size({ loads, ...hours, temperature: amount(50, 'degF') })
    const plain = await size({ temperature: amount(10, 'Cel') })
    expect(other.requiredCapacity.value).toBeCloseTo(plain.requiredCapacity.value, 10)
  })

  test('no size but a reason where nothing may be large enough', async () => {
    const answer = await size({ limits: { maximumCapacity: amount(1, 'Ah') } })
    expect(answer.recommended).toBeUndefined()
    expect(answer.noneBecause).toBeTruthy()
  })
})

describe('POST /v1/battery/size refuses', () => {
  const load = (fields: object) => ({ loads: [LOADS[0], { ...LOADS[1], ...fields }] })
  test.each<[string, object, string, string]>([
    ['a current in volts', load({ standbyCurrent: amount(1, 'V') }), 'UNIT_MISMATCH', '/loads/1/standbyCurrent/unit'],
    ['a unit nobody knows', load({ alarmCurrent: amount(1, 'mAmp') }), 'UNKNOWN_UNIT', '/loads/1/alarmCurrent/unit'],
    [
      'a negative current',
      load({ standbyCurrent: amount(-1, 'mA') }),
      'QUANTITY_OUT_OF_RANGE',
      '/loads/1/standbyCurrent',
    ],
    ['a negative count', load({ quantity: -1 }), 'INPUT_INVALID', '/loads/1/quantity'],
    ['a time in ampere hours', { standbyDuration: amount(24, 'Ah') }, 'UNIT_MISMATCH', '/standbyDuration/unit'],
    ['a negative time', { standbyDuration: amount(-1, 'h') }, 'QUANTITY_OUT_OF_RANGE', '/standbyDuration'],
    [
      'a temperature that overflows',
      { temperature: amount(-1e308, 'degF') },
      'QUANTITY_OUT_OF_RANGE',
      '/temperature/value',
    ],
    ['48 V', { nominalVoltage: amount(48, 'V') }, 'QUANTITY_OUT_OF_RANGE', '/nominalVoltage'],
    ['a duty nobody published', { duty: 'as-usual' }, 'INPUT_INVALID', '/duty'],
    ['no loads', { loads: [] }, 'INPUT_INVALID', '/loads'],
    ['loads that draw nothing', { loads: [{ standbyCurrent: amount(0, 'A') }] }, 'QUANTITY_OUT_OF_RANGE', '/loads'],
  ])('%s, pointing at it', async (_, fields, code, pointer) => {
    const { status, body } = await post({ loads: LOADS, ...HOURS, ...fields })
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, code, pointer])
  })

  test('loads without a time', async () => {
    const { status, body } = await post({ loads: LOADS })
    expect([status, body.errors[0].pointer]).toEqual([422, '/standbyDuration'])
  })

  // Table 1 of IEEE 485 spans 25 to 125 degF (from memory), -3.9 to 51.7 Cel.
  test.each([-4, 51.8, 77])('%d Cel, which the published table does not reach, with its limits', async (value) => {
    const { status, body } = await post({ loads: LOADS, ...HOURS, temperature: amount(value, 'Cel') })
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'TEMPERATURE_BEYOND_TABLE', '/temperature'])
    expect(body.errors[0]).toMatchObject({ limit: '-3.9 to 51.7 Cel', value })
  })
})

describe('POST /v1/battery/size guards', () => {
  test('warmth never makes the battery smaller, cold makes it larger', async () => {
    const at = async (value: number) => (await size({ temperature: amount(value, 'Cel') })).requiredCapacity.value
    expect(await at(45)).toBe((await size({})).requiredCapacity.value)
    expect(await at(0)).toBeGreaterThan(await at(25))
  })

  test('a duty with a margin of its own is never undercut by a smaller one', async () => {
    const duty = 'nfpa-72-protected-premises-2022'
    const { body: own } = await post({ loads: LOADS, duty, ageingFactor: 1 })
    const { body: plain } = await post({ loads: LOADS, duty })
    expect(own.requiredCapacity).toEqual(plain.requiredCapacity)
  })

  test('the cautions of a standby battery come with every size, and whose word they are', async () => {
    const { cautions } = await size({})
    expect(cautions.length).toBeGreaterThan(0)
    for (const { text, basis } of cautions) expect(text && basis).toBeTruthy()
  })

  test('the decision changes where it says it does', async () => {
    const { recommended, decisionChangesAt } = await size({})
    const hours = decisionChangesAt.standbyDuration.value
    const within = await size({ standbyDuration: amount(hours * 0.999, 'h') })
    const beyond = await size({ standbyDuration: amount(hours * 1.001, 'h') })
    expect(within.recommended).toEqual(recommended)
    expect(beyond.recommended).not.toEqual(recommended)
  })
})
