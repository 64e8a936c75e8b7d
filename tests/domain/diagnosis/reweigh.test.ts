import { expect, test } from 'vitest'
import { adjustPrior } from '../../../src/domain/diagnosis/adjust-prior.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { infer, prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { reweighOdds } from '../../../src/domain/diagnosis/reweigh.ts'
import { randomCase } from '../../support/random-network.ts'

test('another circumstance on prepared evidence gives what inference from its priors gives', () => {
  let worst = 0
  for (let seed = 1; seed <= 1000; seed++) {
    const { network, evidence, random } = randomCase(seed)
    const factors = network.prior.map(() => (random() < 0.5 ? 1 : random() < 0.2 ? 0 : 0.05 + 8 * random()))
    const changed = new Map(factors.flatMap((factor, cause) => (factor === 1 ? [] : [[cause, factor] as const])))
    const prior = adjustPrior(network.prior, factors, network.groups)
    const direct = infer({ ...network, prior }, evidence)
    const prepared = prepare(network, evidence)
    const { probability, posterior } = reweighOdds(prepared, {
      causes: [...changed.keys()],
      factors: [...changed.values()],
    })
    const ratio = Math.exp(direct.logEvidence - prepared.inference.logEvidence)
    worst = Math.max(
      worst,
      Math.abs(probability / ratio - 1),
      ...posterior.map((value, cause) => Math.abs(value - direct.posterior[cause]!)),
    )
  }
  console.info(`reweighed priors against inference from them: worst difference ${worst.toExponential(2)}`)
  expect(worst).toBeLessThan(1e-12)
})

test('what is asked of prepared evidence changes neither it nor the answers before and after', () => {
  for (let seed = 1; seed <= 300; seed++) {
    const { network, evidence, unseen } = randomCase(seed)
    const alone = unseen.map((effect) => outcomes(prepare(network, evidence), effect).outcomes)
    const prepared = prepare(network, evidence)
    expect(unseen.map((effect) => outcomes(prepared, effect).outcomes)).toEqual(alone)
    expect(prepared.inference).toEqual(prepare(network, evidence).inference)
  }
})
