import { describe, expect, test } from 'vitest'
import type { Finding, Limits } from '../../src/domain/findings/finding.ts'
import { diagnose } from '../../src/services/diagnose.ts'
import { allRead, answered, holds, present } from '../support/small-release.ts'
import { sourceWording } from '../support/source-wording.ts'

const wording = sourceWording()
const CALLER: Limits = { who: 'caller', tools: [] }
const ask = (findings: Finding[], limits = CALLER) => diagnose({ wording, findings, limits })
const CENTER = 'Call the monitoring center at the number on its bill or sticker'

describe('a stop beside something that can be lifted', () => {
  const oldCell = [
    present('radio-sensor-battery-low', { device: '4' }),
    answered('ask-cells-age', 'over-two-years'),
    allRead,
  ]
  const cold = answered('comes-with-cold', 'not-so', { device: '4' })

  test('tells a monitored caller to have the system put on test, and to go on: no technician', () => {
    const { stop, plan } = ask([...oldCell, cold, answered('ask-on-test', 'not-on-test')])
    expect(stop!.kind).not.toBe('needs-technician')
    expect(stop!.reason).toContain(CENTER)
    expect(stop!.reason).not.toContain('technician')
    expect(stop!.lift).toHaveLength(1)
    const [first] = plan
    expect(first).toMatchObject({ remedy: 'remedy/replace-primary-cell', permit: { verdict: 'refused' } })
    expect(first!.permit).toMatchObject({ lift: stop!.lift })
  })

  test('tells a caller who does not know how to find out whether anybody watches', () => {
    const { stop } = ask([...oldCell, cold, answered('ask-on-test', 'dont-know')])
    expect(stop!.kind).not.toBe('needs-technician')
    expect(stop!.reason).toContain('Find out whether anybody watches the alarm')
  })

  test('has nothing to lift once the system is on test', () => {
    const { stop, plan } = ask([...oldCell, cold, answered('ask-on-test', 'on-test')])
    expect(stop!.lift).toEqual([])
    expect(plan[0]!.permit).toEqual({ verdict: 'allowed' })
  })

  test('tells a caller who is elsewhere that somebody has to be there, and asks for no look', () => {
    const { stop, nextChecks, plan, refused } = ask([
      present('zone-not-ready', { device: '3' }),
      holds('caller-remote'),
      allRead,
    ])
    expect(nextChecks.filter(({ place }) => place !== 'anywhere' && place !== 'phone-or-app')).toEqual([])
    const atSite = plan
      .filter(({ permit }) => permit.verdict === 'allowed')
      .map(({ remedy }) => wording.concept<{ place: string }>(remedy).place)
    expect(atSite.filter((place) => place !== 'anywhere' && place !== 'phone-or-app')).toEqual([])
    expect(refused[0]!.reason).toContain('Somebody has to be at the alarm')
    if (stop) expect(stop.reason).toContain('Somebody has to be at the alarm')
  })

  test('says nothing of lifting in a danger', () => {
    const { stop } = ask([...oldCell, answered('ask-on-test', 'not-on-test'), answered('danger-burning', 'burning')])
    expect([stop!.kind, stop!.lift]).toEqual(['danger', []])
  })
})

test('an outage that is established ends the call: the battery is judged once the power is back', () => {
  const out = [answered('other-rooms-powered', 'dark'), answered('ask-neighbour-power', 'dark')]
  const { stop, plan } = ask([present('mains-missing'), present('battery-low'), allRead, ...out])
  expect(stop!.kind).toBe('confident')
  expect(stop!.reason).toContain('"System battery low": judged only once the power has been right')
  expect(plan[0]!.remedy).toBe('remedy/wait-for-utility')
})

test('what none of the usual reasons fits is named, in words that anybody understands', () => {
  const { stop } = ask([
    present('unspecified-trouble', { reliability: 0.6 }),
    present('ground-fault', { reliability: 0.5 }),
    allRead,
  ])
  if (stop?.kind === 'does-not-fit') expect(stop.reason).not.toContain('model')
  const texts = ['condition', 'cause', 'check', 'remedy'].flatMap((kind) =>
    JSON.stringify(wording.release.ontology[kind as 'cause'].map(({ label, definition }) => [label, definition])),
  )
  expect(texts.join(' ')).not.toMatch(/modell?ed/)
})

describe('what is still to be done after the clock is set', () => {
  const restarted = [present('system-restarted'), present('clock-not-set'), allRead]

  test('is the battery, where a cut took all power away and was not long', () => {
    expect(ask([...restarted, holds('mains-cut-recent')]).closing[0]).toContain('its battery did not carry the cut')
  })

  test('is nothing, where the cut was long enough to empty a good battery', () => {
    expect(ask([...restarted, holds('mains-cut-long')]).closing.join(' ')).not.toContain('did not carry')
  })
})

describe('a sentence of evidence', () => {
  const { causes } = ask([
    present('battery-low'),
    holds('battery-age-over-4y'),
    answered('ask-on-test', 'not-monitored'),
    allRead,
  ])
  const worn = causes.find(({ cause }) => cause === 'cause/battery-worn-out')!

  test('names the circumstance that moves the cause, and no other', () => {
    const sentences = worn.evidence.map(({ sentence }) => sentence)
    expect(sentences[0]).toContain('more than 4 years old')
    expect(sentences[0]).toContain('for this')
    expect(sentences.join(' ')).not.toContain('Nobody watches')
  })
})

test('what was lifted counts once the earlier answer is marked as earlier', () => {
  const low = [
    present('radio-sensor-battery-low', { device: '4' }),
    answered('ask-cells-age', 'over-two-years'),
    allRead,
  ]
  const { plan } = ask([
    ...low,
    answered('ask-on-test', 'not-on-test', { tense: 'earlier' }),
    answered('ask-on-test', 'on-test'),
  ])
  expect(plan[0]).toMatchObject({ remedy: 'remedy/replace-primary-cell', permit: { verdict: 'allowed' } })
})

describe('a stop because what was reported has cleared', () => {
  const LABEL = 'Siren does not stop'
  const sounding = present('sounder-does-not-stop')
  const stopped = [
    answered('siren-stop-by-code', 'stops'),
    answered('danger-burning', 'no'),
    answered('danger-intruder', 'safe'),
  ]

  test('names it, has the display read once more, and keeps what was behind it', () => {
    const { stop, cleared, plan, nextChecks, causes, closing, protection, clearing } = ask([
      allRead,
      sounding,
      ...stopped,
    ])
    expect(stop!.kind).toBe('no-useful-check')
    expect(stop!.reason).toContain(`What was reported no longer stands: "${LABEL}"`)
    expect(stop!.reason).toContain('Read the display once more')
    expect(cleared).toEqual([{ condition: 'condition/sounder-does-not-stop', label: LABEL, findings: [1], by: [2] }])
    expect([plan, nextChecks, protection, clearing]).toEqual([[], [], [], []])
    expect(causes[0]!.evidence.flatMap(({ findings }) => findings)).toContain(1)
    expect(closing.join()).toContain(LABEL)
  })

  test('is none while something else stands', () => {
    const { stop, cleared, protection } = ask([allRead, sounding, ...stopped, present('mains-missing')])
    expect(cleared).toHaveLength(1)
    expect(stop?.reason ?? '').not.toContain('no longer stands')
    expect(protection.map(({ condition }) => condition)).toEqual(['condition/mains-missing'])
  })
})
