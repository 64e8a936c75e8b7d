import { expect, test } from 'vitest'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { DomainError } from '../../../src/domain/errors.ts'

const yesNo = (probability: number) => [1 - probability, probability]
const present = (effect: number): Evidence => ({ effect, weights: [0, 1] })
const absent = (effect: number): Evidence => ({ effect, weights: [1, 0] })

/** Findings in a chain, each sharing a cause with the next, and one more effect that all causes reach. */
function chain(findings: number, leak: number, last = 0.5): Network {
  const effects = Array.from({ length: findings }, (_, effect) => ({
    leak: yesNo(leak),
    links: [effect, effect + 1].map((cause) => ({ cause, levels: yesNo(0.7) })),
  }))
  const all = Array.from({ length: findings + 1 }, (_, cause) => ({ cause, levels: yesNo(last) }))
  return { prior: all.map(() => 0.05), groups: [], effects: [...effects, { leak: yesNo(leak), links: all }] }
}

const shown = (findings: number) => Array.from({ length: findings }, (_, effect) => present(effect))

function refusal(run: () => unknown): DomainError {
  try {
    run()
  } catch (error) {
    if (error instanceof DomainError) return error
    throw error
  }
  throw new Error('nothing was refused')
}

test('refuses findings with too many joint states tied by too many causes, naming both', () => {
  const error = refusal(() => infer(chain(16, 0.01), shown(16)))
  expect(error.code).toBe('EVIDENCE_TOO_ENTANGLED')
  expect(error.detail).toMatchObject({ limit: 16_384, value: 32_768 })
  expect(error.detail.effects).toEqual(shown(16).map(({ effect }) => effect))
  expect(error.detail.causes).toContain(1)
})

test('any number of findings tied by few causes is computed, as by Bayes formula', () => {
  const [prior, leak, q, count] = [0.01, 0.02, 0.9, 60]
  const effects = Array.from({ length: count }, () => ({ leak: yesNo(leak), links: [{ cause: 0, levels: yesNo(q) }] }))
  const seen = Array.from({ length: count }, (_, effect) => present(effect))
  const found = infer({ prior: [prior], groups: [], effects }, seen)
  const withCause = prior * (1 - (1 - leak) * (1 - q)) ** count
  const without = (1 - prior) * leak ** count
  expect(found.posterior[0]).toBeCloseTo(withCause / (withCause + without), 12)
  expect(found.logEvidence).toBeCloseTo(Math.log(withCause + without), 9)
})

test('graded findings tied by few causes are computed whatever their levels', () => {
  const levels = [0.2, 0.2, 0.2, 0.2, 0.2]
  const effects = Array.from({ length: 9 }, () => ({ leak: levels, links: [{ cause: 0, levels }] }))
  const network: Network = { prior: [0.1], groups: [], effects }
  const highest = effects.map((_, effect) => ({ effect, weights: [0, 0, 0, 0, 1] }))
  const odds = (0.1 / 0.9) * ((1 - 0.8 * 0.8) / 0.2) ** 9
  expect(infer(network, highest).posterior[0]).toBeCloseTo(odds / (1 + odds), 12)
})

test('leaving one of the findings out lifts the refusal', () => {
  const network = chain(16, 0.01)
  const most = shown(16).filter((_, effect) => effect !== 7)
  for (const value of infer(network, most).posterior) expect(value > 0 && value < 1).toBe(true)
})

test('a check that would tie too much together when it comes out rare is still answered', () => {
  const network = chain(14, 1e-9, 1e-8)
  const { outcomes: list } = outcomes(prepare(network, shown(14)), 14)
  expect(list[0]!.probability + list[1]!.probability).toBeCloseTo(1, 12)
  expect(list[1]!.probability).toBeLessThan(1e-3)
  for (const { posterior } of list) for (const value of posterior) expect(value >= 0 && value <= 1).toBe(true)
})

const WITHOUT_LEAK: Network = {
  prior: [0.01, 0.2],
  groups: [],
  effects: [
    { leak: [1, 0], links: [{ cause: 0, levels: [0, 1] }] },
    { leak: [0, 1], links: [] },
    { leak: [1, 0], links: [] },
  ],
}

test('refuses a present finding that nothing can bring about, naming it', () => {
  const error = refusal(() => infer(WITHOUT_LEAK, [present(2)]))
  expect(error.code).toBe('EVIDENCE_IMPOSSIBLE')
  expect(error.message).toContain('effects 2')
})

test('refuses the absence of what is always there', () => {
  const error = refusal(() => infer(WITHOUT_LEAK, [absent(1)]))
  expect(error.code).toBe('EVIDENCE_IMPOSSIBLE')
  expect(error.message).toContain('effect 1')
})

test('refuses findings that together rule a cause both in and out', () => {
  const certain = { ...WITHOUT_LEAK, prior: [1, 0.2] }
  expect(refusal(() => infer(certain, [absent(0)])).code).toBe('EVIDENCE_IMPOSSIBLE')
  expect(refusal(() => infer(WITHOUT_LEAK, [present(0), absent(0)])).code).toBe('EVIDENCE_IMPOSSIBLE')
})

test.each([
  ['too few', [1]],
  ['negative', [-0.1, 1.1]],
  ['not finite', [Number.NaN, 1]],
  ['all zero', [0, 0]],
])('refuses weights that are %s', (_, weights) => {
  expect(refusal(() => infer(WITHOUT_LEAK, [{ effect: 0, weights }])).code).toBe('EVIDENCE_IMPOSSIBLE')
})

test('refuses evidence on an effect that does not exist', () => {
  expect(refusal(() => infer(WITHOUT_LEAK, [present(9)])).code).toBe('UNKNOWN_ID')
})

test.each([
  ['never present', 2, [1, 0]],
  ['always present', 1, [0, 1]],
])('a result that cannot come out has probability 0 and no NaN: %s', (_, effect, probabilities) => {
  const list = outcomes(prepare(WITHOUT_LEAK, []), effect).outcomes
  expect(list.map(({ probability }) => probability)).toEqual(probabilities)
  for (const { posterior } of list) expect([...posterior]).toEqual(WITHOUT_LEAK.prior)
})

test('a result ruled out by what is known has probability 0 and no NaN', () => {
  const network: Network = {
    prior: [0.01],
    groups: [],
    effects: [0, 1].map(() => ({ leak: [1, 0], links: [{ cause: 0, levels: [0, 1] }] })),
  }
  const [no, yes] = outcomes(prepare(network, [present(0)]), 1).outcomes
  expect([no!.probability, yes!.probability]).toEqual([0, 1])
  expect([no!.posterior[0], yes!.posterior[0]]).toEqual([1, 1])
})

test('findings in separate components multiply: neither changes the causes of the other', () => {
  const network: Network = {
    prior: [0.01, 0.02, 0.3],
    groups: [],
    effects: [0, 1].map((cause) => ({ leak: yesNo(0.001), links: [{ cause, levels: yesNo(0.8) }] })),
  }
  const [first, second, both] = [[present(0)], [present(1)], [present(0), present(1)]].map((items) =>
    infer(network, items),
  )
  expect(both!.logEvidence).toBeCloseTo(first!.logEvidence + second!.logEvidence, 12)
  expect(both!.posterior[0]).toBeCloseTo(first!.posterior[0]!, 14)
  expect(both!.posterior[2]).toBe(0.3)
})

test('raising a link of a present finding never makes the finding less probable', () => {
  for (let step = 1; step < 20; step++) {
    const at = (q: number) => {
      const network = chain(4, 0.01)
      const links = network.effects[0]!.links.map((link, index) => (index === 0 ? { ...link, levels: yesNo(q) } : link))
      return infer({ ...network, effects: [{ ...network.effects[0]!, links }, ...network.effects.slice(1)] }, shown(4))
    }
    expect(at(step / 20).logEvidence).toBeGreaterThanOrEqual(at((step - 1) / 20).logEvidence)
  }
})

test('one finding of one cause follows the formula of Bayes', () => {
  const network = {
    prior: [0.03],
    groups: [],
    effects: [{ leak: yesNo(0.02), links: [{ cause: 0, levels: yesNo(0.6) }] }],
  }
  const shownIfCause = 1 - 0.98 * 0.4
  const total = 0.03 * shownIfCause + 0.97 * 0.02
  expect(infer(network, [present(0)]).posterior[0]).toBeCloseTo((0.03 * shownIfCause) / total, 14)
})

test('the same input costs the same counted work', () => {
  const work = () => infer(chain(8, 0.01), shown(8)).work
  expect(work()).toBe(work())
  expect(work()).toBeGreaterThan(0)
})

test('hundreds of absent findings do not underflow', () => {
  const causes = 900
  const network: Network = {
    prior: Array.from({ length: causes }, () => 0.9),
    groups: [],
    effects: Array.from({ length: causes }, (_, cause) => ({
      leak: yesNo(0.1),
      links: [{ cause, levels: yesNo(0.9) }],
    })),
  }
  const { logEvidence, posterior } = infer(
    network,
    network.effects.map((_, effect) => absent(effect)),
  )
  expect(logEvidence / (causes * Math.log(0.9 * (0.1 + 0.9 * 0.1)))).toBeCloseTo(1, 12)
  expect(posterior[0]).toBeCloseTo(0.09 / 0.19, 12)
})
