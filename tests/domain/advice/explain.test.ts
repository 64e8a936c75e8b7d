import { describe, expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { decibans } from '../../../src/domain/advice/explain.ts'
import type { Finding } from '../../../src/domain/findings/finding.ts'
import { answered, CAUSE, holds, present, smallRelease } from '../../support/small-release.ts'

const findings = [present('battery-low'), holds('old-battery'), present('supply-missing'), answered('lamp-off', 'yes')]
const advice = advise({ release: smallRelease(), findings, limits: { who: 'caller', tools: [] } })

test('the prior and all steps add up to the posterior of every listed cause', () => {
  for (const { priorDecibans, evidence, probability } of advice.causes) {
    const sum = evidence.reduce((total, step) => total + step.decibans, priorDecibans)
    expect(sum).toBeCloseTo(decibans(probability), 9)
  }
})

test('the item added last changes as much when added as it would take away', () => {
  for (const { evidence } of advice.causes) {
    const last = evidence.find((step) => step.findings.includes(3))
    if (last) expect(last.ifLeftOut).toBeCloseTo(last.decibans, 9)
  }
})

test('leaving out an earlier item is another question than adding it first', () => {
  const worn = advice.causes.find(({ cause }) => cause === 0)!
  const first = worn.evidence.find((step) => step.findings.includes(0))!
  expect(Math.abs(first.ifLeftOut - first.decibans)).toBeGreaterThan(0.1)
})

describe('the account of circumstances', () => {
  const CALLER = { who: 'caller', tools: [] } as const
  const told = [present('battery-low'), holds('hot-room'), holds('on-test'), holds('new-paint'), holds('old-battery')]
  const [, HOT, ON_TEST, PAINT, OLD] = told.keys()
  const causesOf = (list: readonly Finding[]) =>
    advise({ release: smallRelease(), findings: list, limits: CALLER }).causes
  const worn = (list: readonly Finding[]) => causesOf(list).find(({ cause }) => cause === CAUSE.batteryWorn)!
  const evidence = worn(told).evidence

  test('names those that raise a cause together, and apart from them those that lower it', () => {
    const [raises, lowers, ...items] = evidence
    expect([raises!.findings, Math.sign(raises!.decibans)]).toEqual([[HOT, OLD], 1])
    expect([lowers!.findings, Math.sign(lowers!.decibans)]).toEqual([[PAINT], -1])
    expect(items.map(({ findings: from }) => from)).toEqual([[0]])
  })

  test('names none that does not move the cause', () => {
    for (const { evidence: steps } of causesOf(told))
      for (const { findings: from } of steps) expect(from).not.toContain(ON_TEST)
    const dead = causesOf(told).find(({ cause }) => cause === CAUSE.supplyDead)!
    expect(dead.evidence.map(({ findings: from }) => from)).toEqual([[0]])
  })

  test('counts a denial for what it takes away', () => {
    const cool = worn([present('battery-low'), holds('hot-room', { state: 'does-not-hold' })])
    expect(cool.evidence[0]!.findings).toEqual([1])
    expect(cool.evidence[0]!.decibans).toBeLessThan(0)
  })

  test('still adds up with what was shown and said', () => {
    for (const { priorDecibans, evidence: steps, probability } of causesOf(told))
      expect(steps.reduce((sum, step) => sum + step.decibans, priorDecibans)).toBeCloseTo(decibans(probability), 9)
  })

  test('says what would be lost without those of one direction', () => {
    const [raises, lowers] = evidence
    const without = (out: readonly (number | undefined)[]) =>
      decibans(worn(told).probability) - decibans(worn(told.filter((_, at) => !out.includes(at))).probability)
    expect(raises!.ifLeftOut).toBeCloseTo(without([HOT, OLD]), 9)
    expect(lowers!.ifLeftOut).toBeCloseTo(without([PAINT]), 9)
  })

  test('says what would be lost without one that rules another cause out', () => {
    const { causes } = smallRelease()
    const OLD_BATTERY = 3
    const release = smallRelease({
      causes: causes.map((one, at) => (at === CAUSE.supplyDead ? { ...one, excludedBy: [OLD_BATTERY] } : one)),
    })
    const chance = (list: readonly Finding[]) =>
      advise({ release, findings: list, limits: CALLER }).causes.find(({ cause }) => cause === CAUSE.batteryWorn)!
    const held = chance([present('battery-low'), holds('old-battery')])
    const without = chance([present('battery-low')])
    expect(held.evidence[0]!.ifLeftOut).toBeCloseTo(decibans(held.probability) - decibans(without.probability), 9)
  })
})
