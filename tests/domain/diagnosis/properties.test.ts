import { expect, test } from 'vitest'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'
import { randomCase } from '../../support/random-network.ts'

const seeds = Array.from({ length: 300 }, (_, index) => 9000 + index)

function shuffled(count: number, random: () => number): number[] {
  const order = Array.from({ length: count }, (_, index) => index)
  for (let index = count - 1; index > 0; index--) {
    const other = Math.floor(random() * (index + 1))
    ;[order[index], order[other]] = [order[other]!, order[index]!]
  }
  return order
}

test('the order of findings and of causes changes nothing', () => {
  for (const seed of seeds) {
    const { network, evidence, random } = randomCase(seed)
    const order = shuffled(network.prior.length, random)
    const placed = (cause: number) => order.indexOf(cause)
    const renamed: Network = {
      prior: order.map((cause) => network.prior[cause]!),
      groups: network.groups.map((group) => group.map(placed)),
      effects: network.effects.map(({ leak, links }) => ({
        leak,
        links: links.map((link) => ({ ...link, cause: placed(link.cause) })).reverse(),
      })),
    }
    const plain = infer(network, evidence)
    const other = infer(
      renamed,
      shuffled(evidence.length, random).map((index) => evidence[index]!),
    )
    expect(Math.abs(plain.logEvidence - other.logEvidence)).toBeLessThan(1e-12)
    order.forEach((cause, position) =>
      expect(Math.abs(plain.posterior[cause]! - other.posterior[position]!)).toBeLessThan(1e-12),
    )
  }
})

test('an answer of reliability one half is no information', () => {
  for (const seed of seeds) {
    const { network, evidence, unseen } = randomCase(seed)
    const effect = unseen.find((candidate) => network.effects[candidate]!.leak.length === 2)
    if (effect === undefined) continue
    const with50 = infer(network, [...evidence, { effect, weights: [0.5, 0.5] }])
    infer(network, evidence).posterior.forEach((value, cause) =>
      expect(Math.abs(value - with50.posterior[cause]!)).toBeLessThan(1e-12),
    )
  }
})

test('the results of a check together have probability one and average back to what is known now', () => {
  for (const seed of seeds) {
    const { network, evidence, unseen } = randomCase(seed)
    const prepared = prepare(network, evidence)
    for (const effect of unseen) {
      const list = outcomes(prepared, effect).outcomes
      expect(list.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 12)
      prepared.inference.posterior.forEach((value, cause) =>
        expect(list.reduce((sum, { probability, posterior }) => sum + probability * posterior[cause]!, 0)).toBeCloseTo(
          value,
          10,
        ),
      )
    }
  }
})

test('every posterior is a probability', () => {
  for (const seed of seeds) {
    const { network, evidence } = randomCase(seed)
    for (const value of infer(network, evidence).posterior) expect(value >= 0 && value <= 1 + 1e-15).toBe(true)
  }
})

test('the same item twice on one effect multiplies its weights and joins nothing', () => {
  const network: Network = {
    prior: [0.1],
    groups: [],
    effects: [{ leak: [0.9, 0.1], links: [{ cause: 0, levels: [0.2, 0.8] }] }],
  }
  const twice = infer(network, [
    { effect: 0, weights: [0.3, 0.7] },
    { effect: 0, weights: [0.5, 1] },
  ])
  expect(twice.posterior[0]).toBeCloseTo(infer(network, [{ effect: 0, weights: [0.15, 0.7] }]).posterior[0]!, 14)
})

function entangled(findings: number): { network: Network; evidence: Evidence[] } {
  const random = drawsFrom(7)
  const causes = findings + 1
  return {
    network: {
      prior: Array.from({ length: causes }, () => 0.05),
      groups: [],
      effects: Array.from({ length: findings }, (_, effect) => ({
        leak: [0.99, 0.01],
        links: [effect, effect + 1].map((cause) => ({
          cause,
          levels: [0.3, 0.7 * (1 - 0.01 * random())].map((share, _, all) => share / (all[0]! + all[1]!)),
        })),
      })),
    },
    evidence: Array.from({ length: findings }, (_, effect) => ({ effect, weights: [0, 1] })),
  }
}

test('fifteen findings in one chain are computed, sixteen are refused by name', () => {
  const { network, evidence } = entangled(15)
  expect(infer(network, evidence).posterior.every((value) => value > 0 && value <= 1)).toBe(true)
  const more = entangled(16)
  expect(() => infer(more.network, more.evidence)).toThrow(expect.objectContaining({ code: 'EVIDENCE_TOO_ENTANGLED' }))
})
