import { describe, expect, test } from 'vitest'
import { PROTECTION_STATES } from '../../src/domain/advice/protection.ts'
import { batteryRuntime } from '../../src/domain/power/battery-runtime.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import { answer, condition, context, diagnose, post, screen } from '../support/calls.ts'

const { ontology, compiled } = currentRelease()
const protectedBy = async (findings: object[], more: object = {}) => (await diagnose(findings, more)).protected
const silenceOf = async (findings: object[], more: object = {}) => (await diagnose(findings, more)).silence
const signs = compiled.checks.flatMap(({ id, model, results }) =>
  model.kind === 'danger' ? [{ check: id, hazard: compiled.hazards[model.hazard]!.id, sign: model.sign, results }] : [],
)
/** Every danger sign asked about and denied. */
const noDanger = signs.map(({ check, sign, results }) => ({
  kind: 'answer',
  check,
  result: results.find((result) => result !== sign)!,
}))
const said = (items: { function: string }[]) => items.map(({ function: name }) => name)
const measures = ({ interim }: { interim: { measure: string }[] }) => interim.map(({ measure }) => measure)

describe('"am I protected now?"', () => {
  test('is not known before anything is reported', async () => {
    const { state, worksNow, mayBeWorse } = await protectedBy([])
    expect([state, worksNow, mayBeWorse]).toEqual(['unknown', [], true])
  })

  test('is never answered with more than that no loss is reported', async () => {
    const { state, worksNow, sentence } = await protectedBy([screen(true)])
    expect(state).toBe('no-loss-reported')
    expect(sentence).toContain('only a test of each part shows')
    for (const { say } of worksNow) expect(say).toContain('nothing is reported against')
  })

  test('names the usual range without mains, from when the power went, with its basis and no exact time', async () => {
    const { state, until, sentence } = await protectedBy([condition('mains-missing'), screen(true)])
    expect(state).toBe('works-for-now')
    expect(until).toEqual([
      {
        battery: 'main',
        lasts: { low: { value: 4, unit: 'h' }, high: { value: 24, unit: 'h' } },
        say: 'On the battery of the alarm box: about 4 h to 24 h as a rule, from when the power went, not from this call.',
        basis: 'common practice, no source',
      },
    ])
    expect(sentence).toContain('about 4 h to 24 h')
  })

  test('places the range in full hours, rounded down, when the moment of the call is given', async () => {
    const { until } = await protectedBy([condition('mains-missing')], { limits: { at: '2026-03-01T03:12:00+01:00' } })
    expect(until[0].ifPowerWentNow).toEqual({ from: '2026-03-01T06:00:00.000Z', to: '2026-03-02T02:00:00.000Z' })
  })

  test('promises minutes at most on a battery that is low, and nothing without one', async () => {
    const low = await protectedBy([condition('mains-missing'), condition('battery-low'), screen(true)])
    expect([low.state, low.until[0].lasts.high.value]).toEqual(['do-not-rely', 1])
    const none = await protectedBy([condition('mains-missing'), condition('battery-missing')], {
      limits: { at: '2026-03-01T03:12:00Z' },
    })
    expect([none.state, none.until[0].ifPowerWentNow]).toEqual(['not-protected', undefined])
    expect(none.until[0].say).toContain('no time can be promised')
  })

  test('says that a system whose display has just been read still runs, and may stop at any moment', async () => {
    const both = [condition('mains-missing'), condition('battery-missing')]
    const read = await protectedBy([...both, screen(true)])
    expect(read.state).toBe('do-not-rely')
    expect(read.sentence).toContain('may stop at any moment')
    expect(
      read.worksNot
        .filter(({ loss }: { loss: string }) => loss === 'lost')
        .map(({ function: it }: { function: string }) => it),
    ).toEqual(['power-reserve'])
    const remote = await protectedBy([...both, screen(true), context('caller-remote')])
    expect(remote.state).toBe('not-protected')
    expect(remote.sentence).not.toContain('may stop at any moment')
  })

  test('says of a low battery that the alarm runs on it now, once the mains is away', async () => {
    const textOf = async (...ids: string[]) => {
      const { protection } = await diagnose([...ids.map((id) => condition(id)), screen(true)])
      return protection.find(({ condition: id }: { condition: string }) => id === 'condition/battery-low').text
    }
    expect(await textOf('battery-low')).toContain('With house power the alarm works')
    expect(await textOf('battery-low', 'mains-missing')).toBe(
      'The alarm runs on this battery now, and it may stop at any moment.',
    )
  })

  test('promises no least time on a battery known to be old', async () => {
    const { until } = await protectedBy([condition('mains-missing'), context('battery-age-over-4y')])
    expect(until[0].lasts.low.value).toBe(0)
    expect(until[0].say).toContain('perhaps only minutes')
  })

  test('computes the range where the battery and its load are known, from a worn battery to a new one', async () => {
    const reserve = { ratedCapacity: { value: 7, unit: 'Ah' }, standbyCurrent: { value: 450, unit: 'mA' } }
    const { until } = await protectedBy([condition('mains-missing')], { reserve })
    const known = { ratedCapacityAh: 7, standbyCurrentA: 0.45 }
    const { lowHours } = batteryRuntime({ ...known, capacityFraction: 0.8 }).standby
    expect(until[0].lasts.low.value).toBeCloseTo(lowHours, 9)
    expect(until[0].lasts.high.value).toBeCloseTo(batteryRuntime(known).standby.highHours, 9)
    expect(until[0].basis).toMatch(/^computed/)
  })

  test.each([
    ['no load', { ratedCapacity: { value: 7, unit: 'Ah' }, standbyCurrent: { value: 0, unit: 'A' } }, 'standbyCurrent'],
    [
      'a wrong unit',
      { ratedCapacity: { value: 7, unit: 'V' }, standbyCurrent: { value: 1, unit: 'A' } },
      'ratedCapacity',
    ],
  ])('refuses a reserve with %s at its field', async (_, reserve, field) => {
    const { status, body } = await post([], { reserve })
    expect([status, body.errors[0].pointer]).toEqual([422, expect.stringContaining(`/reserve/${field}`)])
  })

  test('names the conditions and devices behind a loss', async () => {
    const { worksNot, worksNow } = await protectedBy([condition('radio-device-missing', 'present', { device: '7' })])
    const detection = worksNot.find(({ function: name }: { function: string }) => name === 'detection')
    expect(detection.because).toEqual([
      { condition: 'condition/radio-device-missing', device: '7', label: 'Radio device not heard' },
    ])
    expect(worksNow.map(({ say }: { say: string }) => say)).toContain(
      'The other sensors: nothing is reported against them.',
    )
  })

  test('counts a disputed condition as standing', async () => {
    const findings = [condition('mains-missing'), condition('mains-missing', 'absent'), screen(true)]
    const { state, mayBeWorse } = await protectedBy(findings)
    expect([state, mayBeWorse]).toEqual(['works-for-now', true])
  })

  test('is not sure of a clean display while something else speaks of trouble', async () => {
    const { state, worksNow } = await protectedBy([screen(true), answer('read-mains-lamp', 'off')])
    expect([state, worksNow]).toEqual(['unknown', []])
  })

  test('says nothing of life safety where there are no such devices, and puts it first where there may be', async () => {
    const without = await protectedBy([condition('zone-bypassed'), context('no-life-safety-devices')])
    expect(said([...without.worksNow, ...without.worksNot])).not.toContain('life-safety')
    expect(measures(without)).not.toContain('fire-watch')
    const may = await protectedBy([condition('zone-bypassed')])
    expect([said(may.worksNot)[0], measures(may)[0]]).toEqual(['life-safety', 'fire-watch'])
  })

  test('puts what a danger calls for before every measure', async () => {
    const { check, sign } = signs.find(({ hazard }) => hazard === 'hazard/fire-or-smoke')!
    const { interim, sentence } = await protectedBy([
      condition('mains-missing'),
      { kind: 'answer', check, result: sign },
    ])
    expect(interim[0].measure).toBe('danger-first')
    expect(sentence).toMatch(/^A danger sign was reported/)
  })

  test('is not known in an edition that does not state what is taken away', async () => {
    const { protected: now, silence } = await diagnose([condition('system-shut-down')], { release: '0.3.0' })
    expect([now.state, now.sentence, silence]).toEqual(['unknown', expect.stringContaining('`protection`'), null])
  })

  const grave = ontology.condition.filter(({ severity }) => severity === 'security-lost' || severity === 'life-safety')
  test.each(grave.map(({ id }) => id))('takes something away while %s stands alone', async (id) => {
    const { state } = await protectedBy([{ kind: 'condition', condition: id, state: 'present' }, screen(true)])
    expect(PROTECTION_STATES.indexOf(state)).toBeGreaterThan(0)
  })
})

describe('silencing', () => {
  test('is first asked about danger', async () => {
    const { verdict, askFirst } = await silenceOf([condition('battery-low')])
    expect(verdict).toBe('ask-first')
    expect(askFirst).toContain(signs.find(({ hazard }) => hazard === 'hazard/fire-or-smoke')!.check)
  })

  test('is told in general words that lead to the guide once no danger is left, with what it does not do', async () => {
    const { verdict, how, doesNot } = await silenceOf([condition('battery-low'), ...noDanger])
    expect(verdict).toBe('allowed')
    expect(how).toContain("ask for the shop's own guide")
    expect(doesNot[0]).toContain('It mends nothing')
  })

  test.each([
    'hazard/fire-or-smoke',
    'hazard/co-alarm',
    'hazard/gas-smell',
    'hazard/intruder-or-duress',
    'hazard/alarm-sounding-now',
  ])('is forbidden, and not explained, under %s', async (hazard) => {
    const { check, sign } = signs.find((one) => one.hazard === hazard)!
    const { verdict, how, forbidden } = await silenceOf([{ kind: 'answer', check, result: sign }])
    expect([verdict, how]).toEqual(['forbidden', undefined])
    expect(forbidden.filter(({ holds }: { holds: boolean }) => holds)).toHaveLength(1)
  })

  test.each(['hazard/electric-shock', 'hazard/acid-contact', 'hazard/water-and-electricity'])(
    'is not explained while anything else is in danger: %s',
    async (hazard) => {
      const { check, sign } = signs.find((one) => one.hazard === hazard)!
      const { how } = await silenceOf([condition('battery-low'), { kind: 'answer', check, result: sign }])
      expect(how).toBeUndefined()
    },
  )

  test('is not allowed by a caller who does not know whether there is danger', async () => {
    const unsure = signs.map(({ check }) => ({ kind: 'answer', check, result: 'dont-know' }))
    const { verdict, askFirst } = await silenceOf([condition('battery-low'), ...unsure])
    expect(verdict).toBe('ask-first')
    expect(askFirst).toContain(signs.find(({ hazard }) => hazard === 'hazard/gas-smell')!.check)
  })

  test.each(['fire-loop-trouble', 'co-detector-trouble', 'sounder-does-not-stop'])(
    'is forbidden while %s stands',
    async (id) => {
      expect((await silenceOf([condition(id), ...noDanger])).verdict).toBe('forbidden')
    },
  )
})
