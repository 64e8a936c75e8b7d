import { outcomes } from '../diagnosis/outcomes.ts'
import { type Change, reweighOdds } from '../diagnosis/reweigh.ts'
import type { CompiledCheck } from './compiled.ts'
import { expectedGainBits } from './entropy.ts'
import { type Gathered, heldContexts, leftOfDenied } from './gathered.ts'
import { type HeldContexts, limited, oddsFactors } from './instantiate.ts'
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

/** The contexts that hold, and what they make of the prior odds of each cause of the release. */
interface Odds {
  held: HeldContexts
  factors: Float64Array
}

const oddsKnown = new WeakMap<Gathered, Odds>()

function oddsOf(known: Gathered): Odds {
  const found = oddsKnown.get(known)
  if (found !== undefined) return found
  const held = heldContexts(known)
  const odds = { held, factors: oddsFactors(known.instance.release, held) }
  oddsKnown.set(known, odds)
  return odds
}

/** Factors on prior odds that one more context would bring, by cause of the network. */
function factorsOf({ known, prepared }: SearchState, { held, factors }: Odds, context: number): Change[] {
  const { instance, index } = known
  const after = held.has(context) ? oddsFactors(instance.release, new Map([...held, [context, 1]])) : undefined
  const changes = new Map<number, Change>()
  for (const { cause, factor } of index.shiftsOfContext[context]!) {
    const old = limited(factors[cause]!)
    const changed = limited(after?.[cause] ?? factors[cause]! * factor)
    if (old === changed || old === 0) continue
    for (const copy of instance.copiesOf(cause))
      if (prepared.network.prior[copy]! > 0) changes.set(copy, { cause: copy, factor: changed / old })
  }
  return [...changes.values()]
}

/** Each result of a question of circumstances: P(result | evidence) from its share and how well it fits the evidence. */
function applicabilityResults(state: SearchState, sets: readonly { result: string; context: number }[]) {
  const { instance } = state.known
  const odds = oddsOf(state.known)
  const shareOf = (context: number) => instance.release.contexts[context]!.share
  const rest = 1 - sets.reduce((sum, { context }) => sum + shareOf(context), 0)
  const open = sets.filter(({ context }) => leftOfDenied(state.known, context) > 0)
  const weighed = open.map(({ result, context }) => {
    const { probability, posterior, work } = reweighOdds(state.prepared, factorsOf(state, odds, context))
    return { result, posterior, weight: shareOf(context) * leftOfDenied(state.known, context) * probability, work }
  })
  if (rest > 1e-6) weighed.push({ result: '', posterior: state.posterior, weight: rest, work: 0 })
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0)
  const possible = total > 0 ? weighed : []
  return {
    results: possible.map(({ result, posterior, weight }) => ({ result, posterior, probability: weight / total })),
    work: weighed.reduce((sum, { work }) => sum + work, 0),
  }
}

/** What a check may turn out to say, with what each result makes of the causes, and the state updates it took. */
export function resultsOf(state: SearchState, check: CompiledCheck, device: string | undefined) {
  const { model } = check
  if (model.kind === 'observation')
    return observationResults(state, state.known.instance.effectOf(model.effect, device), model.levels)
  if (model.kind === 'reading') return readingResults(state, model.reading, device)
  if (model.kind === 'applicability') return applicabilityResults(state, model.sets)
  return { results: [], work: 0 }
}
