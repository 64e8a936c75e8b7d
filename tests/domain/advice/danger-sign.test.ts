import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import type { Finding, Limits } from '../../../src/domain/findings/finding.ts'
import { currentRelease } from '../../../src/ontology/release.ts'

const { compiled: release } = currentRelease()
const limits: Limits = { who: 'caller', tools: [] }
const present = (condition: string): Finding => ({ kind: 'condition', condition, state: 'present' })
const low = present('condition/battery-low')
const hazardIds = (findings: Finding[]) =>
  advise({ release, findings, limits }).known.dangers.map(({ hazard }) => release.hazards[hazard]!.id)

const FACTS = [
  ['a battery that is told to swell or leak', 'context/battery-swollen-or-leaking', 'hazard/vrla-acid-and-gas'],
  ['water at the equipment', 'context/water-at-equipment', 'hazard/water-and-electricity'],
] as const

describe.each(FACTS)('%s', (_, context, hazard) => {
  const fact: Finding = { kind: 'context', context, state: 'holds' }

  test('stops everything, wherever it stands', () => {
    for (const findings of [[fact], [low, fact], [fact, low]]) {
      const { stop, plan, searched } = advise({ release, findings, limits })
      expect([stop, plan, searched.checks]).toEqual(['danger', [], []])
      expect(hazardIds(findings)).toEqual([hazard])
    }
  })

  test('is a danger also where another finding denies it', () => {
    const denied: Finding = { kind: 'context', context, state: 'does-not-hold' }
    expect(advise({ release, findings: [low, fact, denied], limits }).stop).toBe('danger')
  })

  test('is none while it does not hold', () => {
    const denied: Finding = { kind: 'context', context, state: 'does-not-hold' }
    expect(advise({ release, findings: [low, denied], limits }).stop).not.toBe('danger')
  })
})

test('a battery that looks swollen is a danger, one that looks sound is none', () => {
  const looks = (result: string): Finding => ({ kind: 'answer', check: 'check/battery-look', result })
  expect(hazardIds([low, looks('swollen')])).toEqual(['hazard/vrla-acid-and-gas'])
  expect(hazardIds([low, looks('sound')])).toEqual([])
})

describe('while a battery is reported too hot', () => {
  const hot = present('condition/battery-overheated')
  const answered = (result: string): Finding => ({ kind: 'answer', check: 'check/danger-battery-swollen', result })

  test.each([[[]], [[answered('dont-know')]], [[{ ...answered('no'), reliability: 0.6 }]]])(
    'it is a danger until somebody has looked for certain: %j',
    (more: Finding[]) => {
      const { stop, searched, plan } = advise({ release, findings: [hot, ...more], limits })
      expect([stop, searched.checks, plan]).toEqual(['danger', [], []])
    },
  )

  test('who has looked and found it flat and cool goes on, and lays no hand on it', () => {
    const sound = release.checks[release.checks.findIndex(({ id }) => id === 'check/danger-battery-swollen')]!
    const fine = sound.results.find((result) => sound.model.kind === 'danger' && result !== sound.model.sign)!
    const { stop, searched, plan } = advise({ release, findings: [hot, answered(fine)], limits })
    expect(stop).not.toBe('danger')
    expect([searched.checks.length > 0, plan.length > 0]).toEqual([true, true])
    expect(searched.checks.filter(({ check }) => release.checks[check]!.place === 'box')).toEqual([])
    expect(plan.filter(({ permit }) => permit.verdict !== 'refused')).toEqual([])
  })

  test('the sign itself stays a danger beside it', () => {
    const burning: Finding = { kind: 'context', context: 'context/battery-swollen-or-leaking', state: 'holds' }
    expect(advise({ release, findings: [hot, answered('no'), burning], limits }).stop).toBe('danger')
  })
})

test('an alarm among the signals puts the question of its danger before everything else', () => {
  const alarm: Finding = { kind: 'unmapped', ask: 'check/danger-intruder' }
  const { searched, plan } = advise({ release, findings: [low, alarm], limits })
  expect(searched.checks.map(({ check }) => release.checks[check]!.id)).toEqual(['check/danger-intruder'])
  expect(plan.filter(({ permit }) => permit.verdict === 'allowed')).toEqual([])
})
