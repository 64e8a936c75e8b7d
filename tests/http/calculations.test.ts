import { describe, expect, test } from 'vitest'
import { send, VALID } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

const CALCULATIONS = [
  '/v1/battery/size',
  '/v1/battery/runtime',
  '/v1/battery/recharge',
  '/v1/battery/health',
  '/v1/cells/life',
  '/v1/circuits/loop',
  '/v1/circuits/sounder',
  '/v1/wires/run',
  '/v1/resistors/identify',
  '/v1/supplies/check',
  '/v1/readings/interpret',
]
const compute = async (path: string, body: object) => {
  const { status, body: answer } = await ask(send, 'POST', path, body)
  expect(status, JSON.stringify(answer)).toBe(200)
  return answer
}
const amount = (value: number, unit: string) => ({ value, unit })

describe.each(CALCULATIONS)('POST %s', (path) => {
  test('answers with its derivation, each step with unit and source, what would change it, and its cautions', async () => {
    const { steps, cautions, wouldChange, basis } = await compute(path, VALID[path]!)
    expect(wouldChange.length).toBeGreaterThan(0)
    for (const sentence of wouldChange) expect(sentence).not.toMatch(/NaN|Infinity|undefined/)
    expect(basis.release).toMatch(/^\d+\.\d+\.\d+$/)
    for (const { formula, substituted, result, source } of steps) {
      expect(formula && substituted && source).toBeTruthy()
      expect(Number.isFinite(result.value) && result.unit.length > 0).toBe(true)
    }
    expect(cautions.length).toBeGreaterThan(0)
  })

  test('answers the same in a batch, and a bad neighbour spoils nothing', async () => {
    const alone = await compute(path, VALID[path]!)
    const { results } = await compute(`${path}/batch`, {
      items: [VALID[path], { ...VALID[path], release: '9.9.9' }, VALID[path]],
    })
    expect(results[0].value).toEqual(alone)
    expect(results[1].problem.code).toBe('RELEASE_UNKNOWN')
    expect(results[2].value).toEqual(alone)
  })
})

describe('changing the unit of a quantity does not change the answer', () => {
  test.each<[string, object, object]>([
    ['/v1/battery/runtime', { standbyCurrent: amount(0.25, 'A') }, { standbyCurrent: amount(250, 'mA') }],
    ['/v1/battery/runtime', { temperature: amount(10, 'Cel') }, { temperature: amount(50, '°F') }],
    ['/v1/battery/recharge', { capacity: amount(7, 'Ah') }, { capacity: amount(7000, 'mAh') }],
    ['/v1/circuits/loop', { endOfLine: amount(4.7, 'kOhm') }, { endOfLine: amount(4700, 'Ω') }],
    ['/v1/wires/run', { length: amount(60.96, 'm') }, { length: amount(200, 'ft') }],
    ['/v1/cells/life', { sleepCurrent: amount(12, 'uA') }, { sleepCurrent: amount(0.012, 'mA') }],
  ])('%s %j and %j', async (path, first, second) => {
    const of = async (change: object) => {
      const { steps, ...answer } = await compute(path, { ...VALID[path], ...change })
      return answer
    }
    const [a, b] = [await of(first), await of(second)]
    const round = (value: unknown) =>
      JSON.stringify(value, (_, item) => (typeof item === 'number' ? Number(item.toPrecision(9)) : item))
    expect(round(b)).toBe(round(a))
  })
})

describe('a unit of another dimension is refused, both units named', () => {
  test.each<[string, object, string]>([
    ['/v1/battery/runtime', { standbyCurrent: amount(250, 'mAh') }, '/standbyCurrent'],
    ['/v1/wires/run', { length: amount(60, 'V') }, '/length'],
    ['/v1/circuits/loop', { endOfLine: amount(4.7, 'V') }, '/endOfLine'],
  ])('%s', async (path, change, pointer) => {
    const { status, body } = await ask(send, 'POST', path, { ...VALID[path], ...change })
    expect([status, body.code]).toEqual([422, 'UNIT_MISMATCH'])
    expect(body.errors[0].pointer).toContain(pointer)
  })
})

test('every mistake of a body is named at once, each with its pointer, limit and value', async () => {
  const { status, body } = await ask(send, 'POST', '/v1/battery/runtime', {
    ratedCapacity: amount(-7, 'Ah'),
    standbyCurrent: amount(-1, 'A'),
    temperature: amount(80, 'Cel'),
  })
  expect(status).toBe(422)
  expect(body.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
    '/ratedCapacity',
    '/standbyCurrent',
    '/temperature',
  ])
  for (const { limit, value } of body.errors) expect([limit, value].every((field) => field !== undefined)).toBe(true)
})

test('every wrong unit of a body is named at once', async () => {
  const { status, body } = await ask(send, 'POST', '/v1/circuits/loop', {
    ...VALID['/v1/circuits/loop'],
    endOfLine: amount(4.7, 'V'),
    wire: amount(12, 'A'),
  })
  expect(status).toBe(422)
  expect(body.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual(['/endOfLine/unit', '/wire/unit'])
  for (const { detail } of body.errors) expect(detail).toMatch(/Ohm/)
})

describe('what must not be done is refused', () => {
  test.each<[string, string, object, string]>([
    [
      'a chemistry that the charger cannot charge',
      '/v1/battery/recharge',
      { chemistry: 'lithium-iron-phosphate' },
      'CHEMISTRY_UNSUITABLE',
    ],
    [
      'parallel batteries of unlike age',
      '/v1/battery/size',
      { agesInParallel: [amount(0, 'a'), amount(3, 'a')] },
      'UNLIKE_IN_PARALLEL',
    ],
    ['a secondary that may be mains', '/v1/supplies/check', { openVoltage: amount(230, 'V') }, 'QUANTITY_OUT_OF_RANGE'],
  ])('%s', async (_, path, change, code) => {
    const { status, body } = await ask(send, 'POST', path, { ...VALID[path], ...change })
    expect([status, body.code]).toEqual([422, code])
    expect(body.errors[0].pointer).toMatch(/^\//)
  })
})

const METER = { percentOfReading: 1, digits: 2, resolution: amount(1, 'dBm') }

describe('readings of other instruments', () => {
  const interpret = (reading: string, quantity: object, more: object = {}) =>
    compute('/v1/readings/interpret', { reading: `reading/${reading}`, quantity, ...more })
  const refused = async (reading: string, quantity: object, more: object) => {
    const body = { reading: `reading/${reading}`, quantity, ...more }
    return (await ask(send, 'POST', '/v1/readings/interpret', body)).body
  }
  const healthy = ({ bands }: { bands: { isHealthy: boolean; probability: number }[] }) =>
    bands.find(({ isHealthy }) => isHealthy)!.probability

  test('a signal quality is read as the level that it stands for (3GPP TS 27.007: 2 dB a step from -113 dBm)', async () => {
    const { between } = await interpret('cellular-signal-strength', amount(10, 'CSQ'))
    expect((between.low.value + between.high.value) / 2).toBeCloseTo(-93, 9)
  })

  test('a signal quality of 99 says that it is not known, and is refused so', async () => {
    const { code, errors } = await refused('cellular-signal-strength', amount(99, 'CSQ'), {})
    expect([code, errors[0].pointer]).toEqual(['QUANTITY_OUT_OF_RANGE', '/quantity/value'])
    expect(errors[0].detail).toContain('not known')
  })

  test('a sound level is brought to the distance of the reading: 6 dB a doubling', async () => {
    const [near, far] = await Promise.all([
      interpret('sounder-level', amount(96.02, 'dB'), { distance: amount(1.524, 'm') }),
      interpret('sounder-level', amount(90, 'dB'), { distance: amount(3.048, 'm') }),
    ])
    expect(far.between.low.value).toBeCloseTo(near.between.low.value, 2)
  })

  test('a sound level says how long it may be borne: 85 dB for 8 h, half for each 3 dB (NIOSH 98-126)', async () => {
    const { exposure } = await interpret('sounder-level', amount(94, 'dB'))
    expect(exposure.recommended).toEqual({ value: 60, unit: 'min' })
    expect(exposure.caution).toMatch(/ear/)
  })

  test('a probe in ohms is read as its temperature: 10 kOhm at 25 degrees C is 25 degrees C', async () => {
    const { between } = await interpret('probe-temperature', amount(10, 'kOhm'), {
      thermistor: { nominalResistance: amount(10, 'kOhm'), beta: 3950 },
    })
    expect(between.low.value).toBeLessThan(25)
    expect(between.high.value).toBeGreaterThan(25)
  })

  test.each<[string, string, object, object, string]>([
    ['a meter beside a signal quality', 'cellular-signal-strength', amount(10, 'CSQ'), { meter: METER }, '/meter'],
    ['a distance to a voltage', 'battery-rest-voltage', amount(12, 'V'), { distance: amount(3, 'm') }, '/distance'],
    [
      'a thermistor at a sound level',
      'sounder-level',
      amount(90, 'dB'),
      { thermistor: { nominalResistance: amount(10, 'kOhm'), beta: 3950 } },
      '/thermistor',
    ],
  ])('%s is refused', async (_, reading, quantity, more, pointer) => {
    const { errors } = await refused(reading, quantity, more)
    expect(errors[0].pointer).toBe(pointer)
  })

  test('a reading in the middle of the healthy band is healthy', async () => {
    expect(healthy(await interpret('cellular-signal-strength', amount(-60, 'dBm')))).toBeGreaterThan(0.99)
  })
})

describe('evidence on a battery', () => {
  test('a discharge test alone decides: 60 % of the rated time is worn, the whole of it sound', async () => {
    const tested = (hours: number) =>
      compute('/v1/battery/health', {
        ratedCapacity: amount(7, 'Ah'),
        capacityTest: { duration: amount(hours, 'h'), ratedDuration: amount(10, 'h') },
      })
    expect((await tested(6)).verdict).toBe('worn')
    expect((await tested(10)).verdict).toBe('sound')
  })
})

describe('a supply behind a rectifier', () => {
  test('names the secondary that the wanted DC voltage needs', async () => {
    const { needed, warnings } = await compute('/v1/supplies/check', {
      kind: 'ac',
      ratedVoltage: amount(9, 'V'),
      ratedPower: amount(10, 'VA'),
      loadCurrent: amount(0.5, 'A'),
      outputVoltage: amount(13.8, 'V'),
    })
    expect(needed.isEnough).toBe(false)
    expect(warnings.map(({ code }: { code: string }) => code)).toContain('SECONDARY_TOO_LOW')
  })
})

describe('drawings', () => {
  test.each(['/v1/battery/runtime', '/v1/circuits/loop'])(
    '%s draws its answer for a reader that accepts SVG',
    async (path) => {
      const response = await send(path, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json', Accept: 'image/svg+xml' },
        body: JSON.stringify(VALID[path]),
      })
      const drawing = await response.text()
      expect([response.status, response.headers.get('Content-Type')]).toEqual([200, 'image/svg+xml'])
      expect(drawing).toMatch(/^<svg [^>]*role="img"[^>]*><title id="t">.+<\/title><desc id="d">.+<\/desc>/)
      expect(drawing).not.toMatch(/<script|NaN|Infinity|undefined/)
    },
  )
})

describe('answers that a caller hears', () => {
  test('the runtime is a range of clock times, with what stops then', async () => {
    const { until, sentence } = await compute('/v1/battery/runtime', VALID['/v1/battery/runtime']!)
    expect(until.low).toMatch(/^\d\d:\d\d( \+\d)?$/)
    expect(sentence).toMatch(/About until .+ less if it rings .+ goes dead/)
  })

  test('a load that takes the whole supply never recharges', async () => {
    const body = { ...VALID['/v1/battery/recharge'], loadCurrent: amount(1.1, 'A') }
    const { canRecharge, timeToFull, warnings } = await compute('/v1/battery/recharge', body)
    expect([canRecharge, timeToFull]).toEqual([false, undefined])
    expect(warnings[0].code).toBe('LOAD_TAKES_ALL')
  })

  test('a battery at hand gives its hours under the same factors', async () => {
    const { atHand, requiredCapacity } = await compute('/v1/battery/size', {
      ...VALID['/v1/battery/size'],
      atHand: amount(100, 'Ah'),
    })
    expect(atHand.standbyDuration.value).toBeGreaterThan(24)
    expect(requiredCapacity.value).toBeLessThan(100)
  })

  test('an open circuit has no upper end, as JSON has no number for it', async () => {
    const { states } = await compute('/v1/circuits/loop', VALID['/v1/circuits/loop']!)
    expect(states.find(({ state }: { state: string }) => state === 'open').resistance).toEqual({})
  })
})
