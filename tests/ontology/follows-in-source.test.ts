import { describe, expect, test } from 'vitest'
import { type Advice, advise } from '../../src/domain/advice/advise.ts'
import { liftsOf } from '../../src/domain/advice/permit.ts'
import type { Finding, Limits } from '../../src/domain/findings/finding.ts'
import { compileOntology } from '../../src/ontology/compile.ts'
import { readSource } from '../../src/ontology/read-source.ts'
import { allRead, answered, holds, present } from '../support/small-release.ts'

const release = compileOntology(readSource('ontology/source'), '9.9.9')
const HANDY: Limits = { who: 'handy', tools: ['screwdriver', 'multimeter', 'resistor'] }
const ask = (findings: readonly Finding[], limits: Limits = { who: 'caller', tools: [] }) =>
  advise({ release, findings, limits })
const put = ({ searched }: Advice) => searched.checks.map(({ check }) => release.checks[check]!.id)
const named = ({ known, plan }: Advice) => ({
  held: [...known.contexts.keys()].map((context) => release.contexts[context]!.id),
  about: known.contradictions.map(({ about }) => about),
  plan: plan.map(({ remedy, permit }) => [release.remedies[remedy]!.id, permit.verdict]),
})
const probabilityOf = ({ posterior, known }: Advice, cause: string, device?: string) =>
  posterior[known.instance.keys.findIndex((key) => release.causes[key.cause]!.id === cause && key.device === device)]!

describe('a condition of fire, gas, help or hold-up devices', () => {
  test('keeps a handy person out of the fire circuit though nobody said that there are such devices', () => {
    const known = [present('notification-circuit-trouble'), allRead, holds('not-monitored'), holds('power-feed-plug')]
    const advice = ask([...known, answered('battery-present', 'present'), answered('battery-look', 'sound')], HANDY)
    expect(named(advice).held).toContain('context/life-safety-devices-present')
    const inBox = put(advice).filter((id) => ['check/fit-resistor-test', 'check/siren-output-test'].includes(id))
    expect(inBox).toEqual([])
    const allowed = named(advice).plan.filter(([, verdict]) => verdict === 'allowed')
    expect(allowed.map(([id]) => id)).not.toContain('remedy/tighten-siren-wire-at-panel')
  })

  test('leaves the caller what brings the warning back', () => {
    for (const [condition, remedy] of [
      ['smoke-detector-dirty', 'remedy/clean-smoke-detector'],
      ['fire-zone-bypassed', 'remedy/put-fire-zone-in'],
      ['hold-up-device-fault', 'remedy/release-panic-button'],
    ] as const) {
      const advice = ask([present(condition, { device: '7' }), allRead, holds('on-test')])
      const step = advice.plan.find((one) => release.remedies[one.remedy]!.id === remedy)
      expect(step?.permit, condition).not.toMatchObject({ verdict: 'refused', reason: 'hazard-present' })
    }
  })
})

test('a battery that is reported hot stops at once, and nobody is led to it', () => {
  const advice = ask([present('battery-overheated'), allRead])
  expect([advice.stop, put(advice), advice.plan]).toEqual(['danger', [], []])
})

describe('a condition of radio devices', () => {
  const low = present('radio-sensor-battery-low', { device: '4' })

  test('stands against a system that is said to be wired, names both and keeps the causes of its cell', () => {
    const advice = ask([low, allRead, holds('system-wired')])
    expect(named(advice).about).toContain('context/system-wired')
    expect(named(advice).held).not.toContain('context/system-wired')
    expect(probabilityOf(advice, 'cause/cell-worn', '4')).toBeGreaterThan(0.3)
  })

  test('tells what kind of device it is, so that nobody asks', () => {
    const keypad = ask([present('radio-keypad-battery-low', { device: '9' }), allRead, holds('cleaner-visited')])
    expect(put(keypad)).not.toContain('check/ask-device-kind')
    expect(put(keypad)).toContain('check/keypad-plug-look')
  })
})

test('a condition of a module means that there is a separate box: nobody asks whether there is', () => {
  const advice = ask([present('module-battery-low'), allRead])
  expect(named(advice).held).toContain('context/panel-separate-box')
  expect(put(advice)).not.toContain('check/ask-panel-form')
})

describe('a list of parts', () => {
  const missing = (device: string) => present('radio-device-missing', { device })

  test('that names three is not asked about: several show it, and the answer "one" contradicts it', () => {
    const three = [missing('1'), missing('2'), missing('3')]
    expect(put(ask(three))).not.toContain('check/ask-how-many-devices')
    expect(named(ask(three)).held).toContain('context/several-devices')
    expect(named(ask([...three, answered('ask-how-many-devices', 'one')])).about).toEqual(['context/several-devices'])
  })

  test('that was read whole and names one is not asked about either', () => {
    const one = ask([missing('1'), allRead])
    expect(named(one).held).toContain('context/one-device')
    expect(put(one)).not.toContain('check/ask-how-many-devices')
  })
})

describe('a sealed device', () => {
  const sealed = answered('device-has-battery-lid', 'sealed', { device: '4' })

  test('is at its end, and no cell is changed in it', () => {
    const advice = ask([present('radio-sensor-battery-low', { device: '4' }), allRead, sealed])
    expect(probabilityOf(advice, 'cause/sealed-unit-at-end', '4')).toBeGreaterThan(0.85)
    expect(probabilityOf(advice, 'cause/cell-worn', '4')).toBe(0)
    expect(named(advice).plan.map(([id]) => id)).not.toContain('remedy/replace-primary-cell')
  })

  test('says nothing of the next device', () => {
    const both = ['4', '7'].map((device) => present('radio-sensor-battery-low', { device }))
    const [before, after] = [ask([...both, allRead]), ask([...both, allRead, sealed])]
    expect(probabilityOf(after, 'cause/cell-worn', '7')).toBeCloseTo(probabilityOf(before, 'cause/cell-worn', '7'), 9)
  })
})

describe('a sensor that watches a room', () => {
  const room = answered('ask-what-it-guards', 'room', { device: '3' })
  const advice = ask([present('zone-not-ready', { device: '3' }), allRead, room])

  test('has no magnet and no door to shut', () => {
    for (const cause of ['cause/magnet-missing', 'cause/opening-ajar', 'cause/contact-misaligned'])
      expect(probabilityOf(advice, cause, '3'), cause).toBeLessThan(0.03)
  })

  test('is not asked about a door', () => {
    expect(put(advice)).not.toContain('check/see-opening-closed')
    expect(put(advice)).not.toContain('check/magnet-gap-look')
  })
})

describe('a help button that is not heard', () => {
  const lost = [present('personal-help-device-missing', { device: '7' }), allRead, holds('on-test')]
  const dangersIn = ({ known, dangerQuestions }: Advice) =>
    dangerQuestions.map((check) => known.instance.release.checks[check]!.id)

  test('brings the question of its wearer before every other step', () => {
    const advice = ask(lost)
    expect(dangersIn(advice)).toContain('check/ask-wearer-well')
    expect(new Set(put(advice))).toEqual(new Set(['check/ask-wearer-well']))
    expect(named(advice).plan.every(([, verdict]) => verdict !== 'allowed')).toBe(true)
    expect(dangersIn(ask([present('radio-device-missing', { device: '7' })]))).not.toContain('check/ask-wearer-well')
  })

  test('goes on once the wearer is well', () => {
    const advice = ask([...lost, answered('ask-wearer-well', 'well')])
    expect(dangersIn(advice)).not.toContain('check/ask-wearer-well')
    expect(put(advice).length).toBeGreaterThan(1)
  })

  test('has somebody look for the wearer while nobody knows, and sends no technician for it', () => {
    const advice = ask([...lost, answered('ask-wearer-well', 'dont-know')])
    expect(put(advice)).toEqual([])
    expect(advice.stop).not.toBe('needs-technician')
    const context = advice.known.index.context.get('context/wearer-not-seen')
    expect(advice.plan.flatMap(({ permit }) => liftsOf(permit))).toContainEqual({ context })
  })
})
