import { expect, test } from 'vitest'
import { advise } from '../../../src/domain/advice/advise.ts'
import { decibans } from '../../../src/domain/advice/explain.ts'
import { answered, holds, present, smallRelease } from '../../support/small-release.ts'

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
