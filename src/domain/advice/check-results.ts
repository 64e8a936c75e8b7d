import { outcomes } from '../diagnosis/outcomes.ts'
import { reweighOdds } from '../diagnosis/reweigh.ts'
import type { Candidate } from './candidates.ts'
import { expectedGainBits } from './entropy.ts'
import type { OddsAnswer } from './odds-answers.ts'
import type { SearchState } from './search-state.ts'

function observationResults(state: SearchState, effect: number, levels: readonly string[]) {
  const { outcomes: list, work } = outcomes(state.prepared, effect)
  return { results: list.map((outcome, level) => ({ result: levels[level]!, ...outcome })), work }
}

/** Each side of a reading on its own; of two sides the one that tells more: a lower bound for both together. */
function readingResults(state: SearchState, index: number, device: string | undefined) {
  const { effectOf } = state.known.instance
  const { low, high, healthy, bands } = state.known.instance.release.readings[index]!
  const sides: { effect: number; levels: string[] }[] = []
  if (low !== undefined) sides.push({ effect: low, levels: bands.slice(0, healthy + 1).reverse() })
  if (high !== undefined) sides.push({ effect: high, levels: bands.slice(healthy) })
  const evaluated = sides.map(({ effect, levels }) => observationResults(state, effectOf(effect, device), levels))
  const best = evaluated.reduce((a, b) =>
    expectedGainBits(b.results, state.groups) > expectedGainBits(a.results, state.groups) ? b : a,
  )
  return { results: best.results, work: evaluated.reduce((sum, { work }) => sum + work, 0) }
}

/** Each result of a question of circumstances: P(result | evidence) from its share and how well it fits the evidence. */
function questionResults(state: SearchState, answers: readonly OddsAnswer[]) {
  const weighed = answers.map(({ result, share, changes }) => {
    const { probability, posterior, work } = reweighOdds(state.prepared, changes)
    return { result, posterior, weight: share * probability, work }
  })
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0)
  const possible = total > 0 ? weighed : []
  return {
    results: possible.map(({ result, posterior, weight }) => ({ result, posterior, probability: weight / total })),
    work: weighed.reduce((sum, { work }) => sum + work, 0),
  }
}

/** What a check may turn out to say, with what each result makes of the causes, and the state updates it took. */
export function resultsOf(state: SearchState, { check, device, answers }: Omit<Candidate, 'screen'>) {
  const { instance } = state.known
  const { model } = instance.release.checks[check]!
  if (model.kind === 'observation')
    return observationResults(state, instance.effectOf(model.effect, device), model.levels)
  if (model.kind === 'reading') return readingResults(state, model.reading, device)
  return questionResults(state, answers)
}
