import { expect, test } from 'vitest'
import { clearing, leakOnlyProbability, leakOnProbability } from '../../../src/domain/diagnosis/clear.ts'
import type { Evidence, Network } from '../../../src/domain/diagnosis/network.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { topSets } from '../../../src/domain/diagnosis/sets.ts'
import { cumulativeOf, enumerate, sumOver } from '../../support/enumerate.ts'
import { randomCase } from '../../support/random-network.ts'

const NETWORKS = 2500
const LIMIT = 1e-12
const seeds = Array.from({ length: NETWORKS }, (_, index) => index + 1)

function worst(values: Iterable<number>): number {
  let largest = 0
  for (const value of values)
    largest = Number.isNaN(value) ? Number.POSITIVE_INFINITY : Math.max(largest, Math.abs(value))
  return largest
}

const pairs = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a, (value, index) => value - b[index]!)

/** Likelihood of one item of evidence given causes, with some links or the leak taken out at that effect. */
function itemLikelihood(
  network: Network,
  { effect, weights }: Evidence,
  causes: readonly number[],
  withLeak = true,
): number {
  return weights.reduce((sum, weight, level) => {
    const below = level === 0 ? 0 : cumulativeOf(network, effect, causes, level - 1, withLeak)
    return sum + weight * (cumulativeOf(network, effect, causes, level, withLeak) - below)
  }, 0)
}

test(`posteriors and evidence of ${NETWORKS} random networks agree with enumeration`, () => {
  const errors = seeds.map((seed) => {
    const { network, evidence } = randomCase(seed)
    const exact = enumerate(network, evidence)
    const found = infer(network, evidence)
    return worst([...pairs(found.posterior, exact.posterior), found.logEvidence - exact.logEvidence])
  })
  console.info(
    `engine against enumeration, ${NETWORKS} networks: worst absolute difference ${worst(errors).toExponential(2)}`,
  )
  expect(worst(errors)).toBeLessThan(LIMIT)
})

test('every level of an unseen effect has the probability and the posterior that enumeration gives', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence, unseen } = randomCase(seed)
    const prepared = prepare(network, evidence)
    return unseen.flatMap((effect) =>
      outcomes(prepared, effect).outcomes.flatMap(({ probability, posterior }, level) => {
        const weights = network.effects[effect]!.leak.map((_, index) => (index === level ? 1 : 0))
        const exact = enumerate(network, [...evidence, { effect, weights }])
        const share = Math.exp(exact.logEvidence - prepared.inference.logEvidence)
        return [
          probability - share,
          ...pairs(posterior, exact.posterior).map((error) => error * Math.min(1, probability * 1e3)),
        ]
      }),
    )
  })
  console.info(`possible results against enumeration: worst absolute difference ${worst(errors).toExponential(2)}`)
  expect(worst(errors)).toBeLessThan(LIMIT)
})

test('the chance that remedies clear everything watched agrees with enumeration', () => {
  const errors = seeds.map((seed) => {
    const { network, evidence, random } = randomCase(seed)
    const prepared = prepare(network, evidence)
    const fixed = network.prior.map(() => (random() < 0.3 ? 0 : random() < 0.5 ? 1 : random()))
    const present = evidence.filter(
      ({ weights }) => weights[0] === 0 && weights.filter((weight) => weight > 0).length === 1,
    )
    if (present.length === 0) return 0
    const watched = present.map(({ effect }) => effect)
    const others = evidence.filter(({ effect }) => !watched.includes(effect))
    const givenFixed = (causes: readonly number[], gone: readonly number[]) => {
      const staying = causes.filter((cause) => !gone.includes(cause))
      const quiet = watched.reduce((product, effect) => product * cumulativeOf(network, effect, staying, 0), 1)
      const shown = present.reduce((product, item) => product * itemLikelihood(network, item, gone, false), 1)
      return quiet * shown * others.reduce((product, item) => product * itemLikelihood(network, item, causes), 1)
    }
    const over = (causes: readonly number[], from = 0, gone: number[] = [], chance = 1): number =>
      from === causes.length
        ? chance * givenFixed(causes, gone)
        : over(causes, from + 1, [...gone, causes[from]!], chance * fixed[causes[from]!]!) +
          over(causes, from + 1, gone, chance * (1 - fixed[causes[from]!]!))
    const exact = sumOver(network, (causes) => over(causes)) / Math.exp(prepared.inference.logEvidence)
    return clearing(prepared, watched)(fixed) - exact
  })
  console.info(`chance to clear against enumeration: worst absolute difference ${worst(errors).toExponential(2)}`)
  expect(worst(errors)).toBeLessThan(LIMIT)
})

test('what only the leak explains, and whether it acted, agree with enumeration', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = randomCase(seed)
    const prepared = prepare(network, evidence)
    const evidenceWeight = Math.exp(prepared.inference.logEvidence)
    return evidence
      .filter(({ weights }) => weights[0] === 0)
      .flatMap((item) => {
        const others = evidence.filter((other) => other !== item)
        const rest = (causes: readonly number[]) =>
          others.reduce((product, other) => product * itemLikelihood(network, other, causes), 1)
        const { leak } = network.effects[item.effect]!
        const only = sumOver(network, (causes) => {
          const quiet = cumulativeOf(network, item.effect, causes, 0, false)
          return (
            rest(causes) *
            quiet *
            item.weights.reduce((sum, weight, level) => sum + (level > 0 ? weight * leak[level]! : 0), 0)
          )
        })
        const off = sumOver(network, (causes) => leak[0]! * rest(causes) * itemLikelihood(network, item, causes, false))
        return [
          leakOnlyProbability(prepared, item.effect) - only / evidenceWeight,
          leakOnProbability(prepared, item.effect) - (1 - off / evidenceWeight),
        ]
      })
  })
  expect(worst(errors)).toBeLessThan(LIMIT)
})

test('the listed joint explanations have the probabilities of enumeration', () => {
  const errors = seeds.slice(0, 500).flatMap((seed) => {
    const { network, evidence } = randomCase(seed)
    const exact = enumerate(network, evidence).sets
    const { sets, covered } = topSets(prepare(network, evidence), { maxSize: 3, candidates: 16, keep: 5 })
    const same = (a: readonly number[], b: readonly number[]) =>
      a.length === b.length && a.every((cause) => b.includes(cause))
    const small = exact
      .filter(({ causes }) => causes.length <= 3)
      .reduce((sum, { probability }) => sum + probability, 0)
    return [
      covered - small,
      ...sets.map((set) => set.probability - exact.find(({ causes }) => same(causes, set.causes))!.probability),
    ]
  })
  expect(worst(errors)).toBeLessThan(LIMIT)
})
