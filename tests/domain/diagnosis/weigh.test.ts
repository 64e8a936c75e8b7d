import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { Network } from '../../../src/domain/diagnosis/network.ts'
import { infer } from '../../../src/domain/diagnosis/prepare.ts'
import { evidenceSteps, leaveOneOut } from '../../../src/domain/diagnosis/weigh.ts'
import { randomCase } from '../../support/random-network.ts'

const reference = JSON.parse(readFileSync('tests/reference/diagnosis/diagnosis.json', 'utf8'))
const causes = Object.keys(reference.networks.power.causes)
const findings = Object.keys(reference.networks.power.findings)
const yesNo = (probability: number) => [1 - probability, probability]
const power: Network = {
  prior: Object.values(reference.networks.power.causes),
  groups: [],
  effects: Object.values(
    reference.networks.power.findings as Record<string, { leak: number; links: Record<string, number> }>,
  ).map(({ leak, links }) => ({
    leak: yesNo(leak),
    links: Object.entries(links).map(([cause, q]) => ({ cause: causes.indexOf(cause), levels: yesNo(q) })),
  })),
}
const item = (name: string, isPresent: boolean) => ({
  effect: findings.indexOf(name),
  weights: yesNo(Number(isPresent)),
})
const rowOf = (id: string) => reference.evidenceWeights.find((row: { id: string }) => row.id === id)

test('steps in the stated order are the enumerated ones', () => {
  const { given, order, expected, tolerance } = rowOf('diag-ew-01')
  const steps = evidenceSteps(
    power,
    order.map((name: string) => item(name, given.findings[name])),
  )
  for (const [cause, { stepsDb }] of Object.entries(expected as Record<string, { stepsDb: Record<string, number> }>))
    order.forEach((name: string, step: number) => {
      expect(Math.abs(steps[step]![causes.indexOf(cause)]! - stepsDb[name]!)).toBeLessThanOrEqual(tolerance)
    })
})

test('leaving one item out gives the enumerated weights', () => {
  const { given, expected, tolerance } = rowOf('diag-ew-02')
  const names = Object.keys(given.findings)
  const weights = leaveOneOut(
    power,
    names.map((name) => item(name, given.findings[name])),
  )
  for (const [cause, byName] of Object.entries(expected.leaveOneOutDb as Record<string, Record<string, number>>))
    names.forEach((name, index) => {
      expect(Math.abs(weights[index]![causes.indexOf(cause)]! - byName[name]!)).toBeLessThanOrEqual(tolerance)
    })
})

test('steps add up to posterior less prior in log-odds, whatever the order', () => {
  const decibans = (probability: number) => 10 * Math.log10(probability / (1 - probability))
  for (let seed = 1; seed <= 200; seed++) {
    const { network, evidence } = randomCase(seed)
    const { posterior } = infer(network, evidence)
    for (const order of [evidence, [...evidence].reverse()]) {
      const steps = evidenceSteps(network, order)
      posterior.forEach((probability, cause) => {
        const sum = steps.reduce((total, step) => total + step[cause]!, decibans(network.prior[cause]!))
        expect(Math.abs(sum - decibans(probability))).toBeLessThan(1e-9)
      })
    }
  }
})
