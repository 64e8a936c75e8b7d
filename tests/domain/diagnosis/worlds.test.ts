import { expect, test } from 'vitest'
import { clearing, leakOnlyProbability, leakOnProbability } from '../../../src/domain/diagnosis/clear.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { hardCase } from '../../support/hard-network.ts'
import { answerByWorlds, clearByWorlds, type SourceRule } from '../../support/worlds.ts'

const seeds = Array.from({ length: 2500 }, (_, index) => index + 1)
const LIMIT = 1e-12

/** Largest absolute value; NaN counts as infinite. */
function worst(values: Iterable<number>): number {
  let largest = 0
  for (const value of values)
    largest = Number.isNaN(value) ? Number.POSITIVE_INFINITY : Math.max(largest, Math.abs(value))
  return largest
}

function report(what: string, errors: readonly number[]): void {
  console.info(`${what}: ${errors.length} values, worst absolute difference ${worst(errors).toExponential(2)}`)
  expect(errors.length).toBeGreaterThan(1000)
  expect(worst(errors)).toBeLessThan(LIMIT)
}

const differences = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a, (value, index) => value - b[index]!)
const oneHot = (size: number, level: number) => Array.from({ length: size }, (_, at) => (at === level ? 1 : 0))
const onlyAbove = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? 0 : share))
const onlyLowest = (levels: readonly number[]) => levels.map((share, level) => (level === 0 ? share : 0))

test('posteriors and P(evidence) agree with worlds gone through one by one, leaks down to 1e-9', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = hardCase(seed)
    const exact = answerByWorlds(network, evidence)
    const { inference } = prepare(network, evidence)
    return [...differences(inference.posterior, exact.posterior), inference.logEvidence - Math.log(exact.evidence)]
  })
  report('posterior and ln P(evidence)', errors)
})

test('each level of an unseen effect, however rare, has the probability and posterior of the worlds', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence, unseen } = hardCase(seed)
    const prepared = prepare(network, evidence)
    const now = answerByWorlds(network, evidence).evidence
    return unseen.flatMap((effect) =>
      outcomes(prepared, effect).outcomes.flatMap(({ probability, posterior }, level) => {
        const item = { effect, weights: oneHot(network.effects[effect]!.leak.length, level) }
        const exact = answerByWorlds(network, [...evidence, item])
        return [probability - exact.evidence / now, ...differences(posterior, exact.posterior)]
      }),
    )
  })
  report('possible results', errors)
})

test('the chance that remedies clear what is watched agrees with worlds and removals gone through', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence, random } = hardCase(seed)
    const fixed = network.prior.map(() => (random() < 0.3 ? 0 : random() < 0.5 ? 1 : random()))
    const watched = evidence.filter(({ weights }) => weights[0] === 0 && random() < 0.8).map(({ effect }) => effect)
    if (watched.length === 0) return []
    const found = clearing(prepare(network, evidence), watched)(fixed)
    return [found - clearByWorlds(network, evidence, fixed, watched)]
  })
  report('chance to clear', errors)
})

test('what the leak did, and what it alone did, agree with worlds in which the leak is a source of its own', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, evidence } = hardCase(seed)
    const prepared = prepare(network, evidence)
    const now = answerByWorlds(network, evidence).evidence
    const share = (rule: SourceRule) => answerByWorlds(network, evidence, rule).evidence / now
    return evidence
      .filter(({ weights }) => weights[0] === 0)
      .flatMap(({ effect: shown }) => {
        const on = share((effect, cause, levels) => (effect === shown && cause < 0 ? onlyAbove(levels) : levels))
        const only = share((effect, cause, levels) =>
          effect !== shown ? levels : cause < 0 ? onlyAbove(levels) : onlyLowest(levels),
        )
        return [leakOnProbability(prepared, shown) - on, leakOnlyProbability(prepared, shown) - only]
      })
  })
  report('leaks', errors)
})
