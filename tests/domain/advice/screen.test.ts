import { expect, test } from 'vitest'
import { candidates } from '../../../src/domain/advice/candidates.ts'
import { resultsOf } from '../../../src/domain/advice/check-results.ts'
import { expectedGainBits } from '../../../src/domain/advice/entropy.ts'
import { mayBeUseful } from '../../../src/domain/advice/next-checks.ts'
import { Screen } from '../../../src/domain/advice/screen.ts'
import { costMinutes } from '../../../src/domain/advice/search-state.ts'
import type { Network } from '../../../src/domain/diagnosis/network.ts'
import { outcomes } from '../../../src/domain/diagnosis/outcomes.ts'
import { prepare } from '../../../src/domain/diagnosis/prepare.ts'
import { reweighOdds } from '../../../src/domain/diagnosis/reweigh.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import { opening } from '../../../src/tools/cases/caller.ts'
import { readCases } from '../../../src/tools/cases/case.ts'
import { drawsFrom } from '../../../src/tools/cases/draws.ts'
import { hardCase } from '../../support/hard-network.ts'
import { searchStateOf } from '../../support/search-state.ts'

const seeds = Array.from({ length: 300 }, (_, index) => index + 1)
const alone = ({ prior }: Network) => prior.map((_, cause) => [cause])
const named = (list: readonly { probability: number; posterior: number[] }[]) =>
  list.map((one) => ({ result: '', ...one }))

/** Nothing is known yet, and no cause excludes another: the causes are independent. */
function nothingKnown(seed: number) {
  const { network } = hardCase(seed)
  const prepared = prepare({ ...network, groups: [] }, [])
  const groups = alone(network)
  const screen = new Screen({ posterior: prepared.inference.posterior, groups, prepared })
  return { network, prepared, groups, screen }
}

test('while the causes are independent the guess of what an observation brings is what it brings', () => {
  const errors = seeds.flatMap((seed) => {
    const { network, prepared, groups, screen } = nothingKnown(seed)
    return network.effects.map((effect, at) => {
      const exact = expectedGainBits(named(outcomes(prepared, at).outcomes), groups)
      return Math.abs(screen.ofEffect(effect) - exact)
    })
  })
  expect(errors.length).toBeGreaterThan(500)
  expect(Math.max(...errors)).toBeLessThan(1e-9)
})

test('while the causes are independent the guess of what a question of circumstances brings is what it brings', () => {
  const errors = seeds.map((seed) => {
    const { network, prepared, groups, screen } = nothingKnown(seed)
    const random = drawsFrom(seed)
    const causes = network.prior.flatMap((prior, cause) => (prior > 0 && random() < 0.6 ? [cause] : []))
    const answers = [0.2, 0.5, 0.3].map((share) => ({
      result: '',
      share,
      changes: { causes, factors: causes.map(() => 3 * random()) },
    }))
    const weighed = answers.map(({ share, changes }) => {
      const { posterior } = reweighOdds(prepared, changes)
      return { probability: share, posterior }
    })
    return Math.abs(screen.ofAnswers(answers) - expectedGainBits(named(weighed), groups))
  })
  expect(Math.max(...errors)).toBeLessThan(1e-9)
})

test('at the beginning of a call the guess leaves out no check that brings much a minute', () => {
  const { compiled } = currentRelease()
  const calls = readCases('tuned').filter((_, index) => index % 4 === 0)
  const left = { useful: 0, out: [] as string[] }
  for (const one of calls) {
    const state = searchStateOf(compiled, opening(one))
    for (const candidate of candidates(state)) {
      const bits = expectedGainBits(resultsOf(state, candidate).results, state.groups)
      const check = compiled.checks[candidate.check]!
      if (bits < 0.1 || bits / costMinutes(check) < 0.03) continue
      left.useful++
      if (!mayBeUseful(compiled, candidate)) left.out.push(`${one.id} ${check.id}`)
    }
  }
  expect(left.useful).toBeGreaterThan(200)
  expect(left.out).toEqual([])
})
