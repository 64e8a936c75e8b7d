import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { currentRelease } from '../../src/ontology/release.ts'
import {
  answer,
  type Cause,
  checksOf,
  condition,
  context,
  diagnose,
  expectSameRanking,
  POWER,
  post,
  probabilityOf,
  ranking,
  restVoltage,
  SAFE,
  screen,
  TOOLS,
} from '../support/calls.ts'
import { send } from '../support/hostile.ts'
import { ask } from '../support/service.ts'

/** Every number that is called a probability, wherever it stands. */
function probabilitiesIn(value: unknown, name = ''): number[] {
  if (typeof value === 'number') return /probability|shown|covered/i.test(name) ? [value] : []
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([key, inner]) => probabilitiesIn(inner, key))
}

describe('POST /v1/diagnose answers', () => {
  test('an incomplete screen puts reading the list first, a complete one never asks for it', async () => {
    const open = await diagnose([...POWER, screen(false)])
    expect(checksOf(open)[0]).toBe('check/read-trouble-list')
    const closed = await diagnose([...POWER, screen(true)])
    expect(checksOf(closed)).not.toContain('check/read-trouble-list')
  })

  test('a reading moves the ranking the way it points', async () => {
    const [flat, none, full] = await Promise.all([
      diagnose([condition('battery-low'), restVoltage(11)]),
      diagnose([condition('battery-low')]),
      diagnose([condition('battery-low'), restVoltage(12.9)]),
    ])
    expect(probabilityOf(flat, 'battery-worn-out')).toBeGreaterThan(probabilityOf(none, 'battery-worn-out'))
    expect(probabilityOf(none, 'battery-worn-out')).toBeGreaterThan(probabilityOf(full, 'battery-worn-out'))
  })

  test('a reading says the same in volts and in millivolts', async () => {
    const meter = (value: number, unit: string) => ({ percentOfReading: 1, digits: 2, resolution: { value, unit } })
    const volts = await diagnose([...POWER, restVoltage(11.5, 'V', { meter: meter(0.01, 'V') })])
    const millivolts = await diagnose([...POWER, restVoltage(11500, 'mV', { meter: meter(10, 'mV') })])
    expectSameRanking(ranking(volts), ranking(millivolts))
  })

  test('a worse meter moves the ranking less than a better one', async () => {
    const meter = (percentOfReading: number) => ({ percentOfReading, digits: 0, resolution: { value: 0, unit: 'V' } })
    const at = async (percent: number) =>
      probabilityOf(
        await diagnose([condition('battery-low'), restVoltage(12.9, 'V', { meter: meter(percent) })]),
        'battery-worn-out',
      )
    expect(await at(50)).toBeGreaterThan(await at(0.5))
  })

  test('the prior and every step of evidence add up to the posterior', async () => {
    const calls = [
      POWER,
      [...POWER, screen(true)],
      [...POWER, ...SAFE, restVoltage(11), context('storm-recent')],
      [condition('radio-device-missing', 'present', { device: 'hall', reliability: 0.8 }), screen(true)],
    ]
    let worst = 0
    for (const findings of calls)
      for (const { probability, priorDecibans, evidence } of (await diagnose(findings)).causes) {
        const sum = evidence.reduce((total: number, step: { decibans: number }) => total + step.decibans, priorDecibans)
        worst = Math.max(worst, Math.abs(sum - 10 * Math.log10(probability / (1 - probability))))
      }
    console.info(`worst difference of prior + evidence from the posterior: ${worst.toExponential(1)} decibans`)
    expect(worst).toBeLessThan(1e-6)
  })

  test('a cause of a device names its device', async () => {
    const body = await diagnose(
      ['hall', 'attic'].map((device) => condition('radio-device-missing', 'present', { device })),
    )
    const devices = new Set(body.causes.map(({ device }: Cause) => device))
    expect(devices).toContain('hall')
    expect(devices).toContain('attic')
  })

  test('the answer rests on a release that it names with its hash', async () => {
    const { basis } = await diagnose(POWER)
    const { body: manifest } = await ask(send, 'GET', `/v1/ontology/${basis.release}`)
    expect(basis.sha256).toBe(manifest.sha256)
  })

  test('no findings at all are answered without a cause and without a stop for danger', async () => {
    const body = await diagnose([])
    expect(body.causes).toEqual([])
    expect(body.stop?.kind).not.toBe('danger')
  })

  test('British words come with their language, and only on request', async () => {
    const words = (value: unknown): string[] => {
      if (typeof value !== 'object' || value === null) return []
      return Object.entries(value).flatMap(([key, inner]) =>
        typeof inner === 'string' && /^(label|ask|how|text|definition|reason|expect|confirm|why)$/.test(key)
          ? [inner]
          : words(inner),
      )
    }
    const [british, american, unasked] = await Promise.all([
      post(POWER, { language: 'en-GB' }),
      post(POWER, { language: 'en-US' }),
      post(POWER),
    ])
    expect(british.headers.get('Content-Language')).toBe('en-GB')
    expect(british.body.language).toBe('en-GB')
    expect(words(british.body).join('\n')).toMatch(/\bmains\b/i)
    expect(american.headers.get('Content-Language')).toBe('en-US')
    expect(words(american.body).filter((text) => /\bmains\b/i.test(text))).toEqual([])
    expect(unasked.body).toEqual(american.body)
    expectSameRanking(ranking(british.body), ranking(american.body))
  })
})

describe('POST /v1/diagnose refuses', () => {
  test.each([
    ['a longest check of a negative time', [], { duration: { value: -5, unit: 'min' } }, '/limits/duration/value'],
    ['a longest check without end', [], { duration: { value: 1e308, unit: 'd' } }, '/limits/duration/value'],
  ])('%s', async (_, findings, limits, pointer) => {
    const { status, body } = await post(findings, { limits })
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'QUANTITY_OUT_OF_RANGE', pointer])
  })

  test.each([
    [-0.01, 'V', 1, 'QUANTITY_OUT_OF_RANGE', 'value'],
    [1e308, 'V', 1000, 'QUANTITY_OUT_OF_RANGE', 'value'],
    [0.01, 'Ohm', 1, 'UNIT_MISMATCH', 'unit'],
  ])('a meter of resolution %d %s times %d digits, pointing at it', async (value, unit, digits, code, field) => {
    const meter = { percentOfReading: 1, digits, resolution: { value, unit } }
    const { status, body } = await post([...POWER, restVoltage(12, 'V', { meter })])
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, code, `/findings/2/meter/resolution/${field}`])
  })

  test('a release that is not published, never answering from another', async () => {
    const { status, body } = await post(POWER, { release: 'latest' })
    expect([status, body.errors[0].pointer]).toEqual([422, '/release'])
  })
})

describe('POST /v1/diagnose guards', () => {
  const { checks } = currentRelease().compiled
  const dangers = checks.flatMap(({ id, model }) => (model.kind === 'danger' ? [[id, model.sign] as const] : []))

  test.each(dangers)('a danger sign %s %s empties plan and checks and says what to do', async (check, result) => {
    const body = await diagnose([...POWER, ...SAFE, { kind: 'answer', check, result }], {
      limits: { who: 'handy', tools: TOOLS },
    })
    expect([body.stop.kind, body.plan, body.nextChecks]).toEqual(['danger', [], []])
    expect(body.stop.acts.length).toBeGreaterThan(0)
    expect(body.cautions.some(({ because }: { because: string[] }) => because.includes('findings/4'))).toBe(true)
  })

  test.each([0, 1, 2])('answered questions never come back, nor those nobody could answer (%d)', async (seed) => {
    const findings: object[] = [...POWER, screen(true)]
    const asked = new Set<string>()
    for (let turn = 0; turn < 60; turn++) {
      const body = await diagnose(findings, { limits: { who: 'handy', tools: TOOLS } })
      for (const { check, device } of body.nextChecks) expect(asked).not.toContain(`${check} ${device}`)
      const [next] = body.nextChecks
      if (next === undefined) break
      asked.add(`${next.check} ${next.device}`)
      const isUnknown = (turn + seed) % 3 === 0
      const safe = dangers.some(([check]) => check === next.check) ? next.results.length - 1 : seed
      const result = isUnknown ? 'dont-know' : next.results[safe % next.results.length].result
      findings.push({
        kind: 'answer',
        check: next.check,
        result,
        ...(next.device === undefined ? {} : { device: next.device }),
      })
    }
    console.info(`${asked.size} questions asked, none twice`)
    expect(asked.size).toBeGreaterThan(3)
  })

  test('contradictory findings are reported with both positions and count for neither', async () => {
    const battery = condition('battery-low')
    const both = await diagnose([condition('mains-missing'), battery, condition('mains-missing', 'absent')])
    expect(both.contradictions).toEqual([{ about: 'condition/mains-missing', findings: [0, 2] }])
    const neither = await diagnose([battery])
    expectSameRanking(ranking(both), ranking(neither))
    expect(both.protection).toEqual(neither.protection)
  })

  test('a disputed condition is not taken to be absent because the whole screen was read', async () => {
    const disputed = [condition('mains-missing'), condition('mains-missing', 'absent')]
    const both = await diagnose([...disputed, condition('battery-low'), screen(true)])
    const silent = await diagnose([condition('battery-low'), screen(true)])
    expect(probabilityOf(both, 'supply-unplugged')).toBeGreaterThan(probabilityOf(silent, 'supply-unplugged'))
  })

  test.each([
    ['holds', 'does-not-hold'],
    ['does-not-hold', 'holds'],
  ])('a circumstance that %s and then %s counts for nothing', async (first, second) => {
    const body = await diagnose([...POWER, context('storm-recent', first), context('storm-recent', second)])
    expect(body.contradictions).toEqual([{ about: 'context/storm-recent', findings: [2, 3] }])
    expectSameRanking(ranking(body), ranking(await diagnose(POWER)))
  })

  test('two answers to one question that differ are reported', async () => {
    const body = await diagnose([...POWER, answer('see-supply-plugged', 'in'), answer('see-supply-plugged', 'out')])
    expect(body.contradictions).toEqual([{ about: 'check/see-supply-plugged', findings: [2, 3] }])
    expectSameRanking(ranking(body), ranking(await diagnose(POWER)))
  })

  test.each([
    ['condition', condition('mains-missing')],
    ['answer', answer('see-lights-dim', 'steady')],
    ['reading', restVoltage(11)],
    ['context', context('storm-recent')],
    ['screen', screen(true)],
  ])('the same %s twice changes nothing', async (_, finding) => {
    const once = await diagnose([...POWER, finding])
    const twice = await diagnose([...POWER, finding, finding])
    expectSameRanking(ranking(once), ranking(twice))
    expect([twice.contradictions, checksOf(twice), twice.stop]).toEqual([[], checksOf(once), once.stop])
  })

  test('the order of findings does not change probabilities', async () => {
    const findings = [
      ...POWER,
      ...SAFE,
      condition('radio-device-missing', 'present', { device: 'hall', reliability: 0.8 }),
      condition('sounder-tamper', 'absent'),
      answer('see-lights-dim', 'steady'),
      restVoltage(11.9),
      context('heat'),
      screen(true),
    ]
    const expected = ranking(await diagnose(findings))
    await fc.assert(
      fc.asyncProperty(
        fc.shuffledSubarray(findings, { minLength: findings.length, maxLength: findings.length }),
        async (shuffled) => expectSameRanking(ranking(await diagnose(shuffled)), expected),
      ),
      { seed: 7, numRuns: 40 },
    )
  })

  test.each<[string, object]>([
    ['condition', condition('sounder-tamper')],
    ['answer', answer('see-supply-plugged', 'out')],
    ['reading', restVoltage(11)],
    ['context', context('storm-recent')],
  ])('a %s of earlier says nothing of now', async (_, finding) => {
    const body = await diagnose([...POWER, { ...finding, tense: 'earlier' }])
    expect(body.unused).toEqual([2])
    expectSameRanking(ranking(body), ranking(await diagnose(POWER)))
  })

  test('probabilities lie between 0 and 1 and none above 0.97 is shown', async () => {
    const certain = [condition('battery-missing'), answer('battery-present', 'absent')]
    for (const findings of [POWER, certain, [...POWER, ...SAFE, context('heat')]]) {
      const body = await diagnose(findings)
      const all = probabilitiesIn(body)
      expect(all.length).toBeGreaterThan(20)
      expect(all.filter((one) => !(one >= 0 && one <= 1 + 1e-12))).toEqual([])
      for (const { shown } of body.causes) expect(shown).toBeLessThanOrEqual(0.97)
    }
    const [first] = (await diagnose(certain)).causes
    expect([first.cause, first.probability > 0.97, first.shown]).toEqual(['cause/battery-absent', true, 0.97])
  })
})

test('more than 64 devices are refused with the limit, 64 are answered', async () => {
  const missing = (count: number) =>
    Array.from({ length: count }, (_, index) => ({
      kind: 'condition',
      condition: 'condition/radio-device-missing',
      state: 'present',
      device: `sensor ${index}`,
    }))
  const refused = await post(missing(65))
  expect([refused.status, refused.body.errors[0].limit, refused.body.errors[0].value]).toEqual([422, 64, 65])
  const { body } = await post(missing(64))
  expect(body.causes.slice(0, 2).every(({ device }: { device?: string }) => device === undefined)).toBe(true)
})
