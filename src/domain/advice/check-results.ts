import type { Changes } from '../diagnosis/cumulative.ts'
import { outcomes } from '../diagnosis/outcomes.ts'
import { reweighOdds, takeBack } from '../diagnosis/reweigh.ts'
import { type Circumstances, furtherFactors, oddsFactors } from './circumstances.ts'
import type { CompiledCheck, CompiledModel } from './compiled.ts'
import { expectedGainBits } from './entropy.ts'
import { circumstancesOf, type Gathered, leftOfDenied } from './gathered.ts'
import { limited } from './instantiate.ts'
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
  for (const side of evaluated) if (side !== best) takeBack(state.prepared, side.results)
  return { results: best.results, work: evaluated.reduce((sum, { work }) => sum + work, 0) }
}

type Establishes = Extract<CompiledModel, { kind: 'applicability' }>['sets'][number]

/** The circumstances, and what they make of the prior odds of each cause of the release. */
interface Odds {
  circumstances: Circumstances
  factors: Float64Array
}

const oddsKnown = new WeakMap<Gathered, Odds>()

function oddsOf(known: Gathered): Odds {
  const found = oddsKnown.get(known)
  if (found !== undefined) return found
  const circumstances = circumstancesOf(known)
  const odds = { circumstances, factors: oddsFactors(known.instance.release, circumstances) }
  oddsKnown.set(known, odds)
  return odds
}

/** Factors on prior odds that further circumstances would bring, by cause of the network, within the limit. */
function changesBy({ known, prepared }: SearchState, further: Circumstances): Changes {
  const { instance } = known
  const { prior } = prepared.network
  const { circumstances, factors } = oddsOf(known)
  const changes = { causes: [] as number[], factors: [] as number[] }
  for (const { cause, factor } of furtherFactors(
    instance.release,
    { known: circumstances, before: factors },
    further,
  )) {
    const [old, changed] = [limited(factors[cause]!), limited(factors[cause]! * factor)]
    if (old === changed || old === 0) continue
    for (const copy of instance.copiesOf(cause)) {
      if (!(prior[copy]! > 0)) continue
      changes.causes.push(copy)
      changes.factors.push(changed / old)
    }
  }
  return changes
}

/** What a result of a question of circumstances would establish, and how often it is given. */
interface PossibleAnswer {
  result: string
  share: number
  further: Circumstances
}

/** The results that a question of circumstances may have: each that sets a context, and the one that sets none. */
function possibleAnswers(
  { known }: SearchState,
  { results }: CompiledCheck,
  sets: readonly Establishes[],
): PossibleAnswer[] {
  const { contexts } = known.instance.release
  /** Results that mean the same circumstance have its share together. */
  const shareOf = (context: number) => contexts[context]!.share / sets.filter((set) => set.context === context).length
  const rest = 1 - sets.reduce((sum, { context }) => sum + shareOf(context), 0)
  const open = sets.filter(({ context }) => leftOfDenied(known, context) > 0)
  const silent = results.filter((result) => !sets.some((set) => set.result === result))
  const positive = open.map(({ result, context }) => ({
    result,
    share: shareOf(context) * leftOfDenied(known, context),
    further: new Map([[context, 1]]),
  }))
  if (rest <= 1e-6) return positive
  const further = new Map(
    open.filter(({ context }) => !known.contexts.has(context)).map(({ context }) => [context, -1]),
  )
  return [...positive, { result: silent.length === 1 ? silent[0]! : '', share: rest, further }]
}

/** Each result of a question of circumstances: P(result | evidence) from its share and how well it fits the evidence. */
function applicabilityResults(state: SearchState, check: CompiledCheck, sets: readonly Establishes[]) {
  const weighed = possibleAnswers(state, check, sets).map(({ result, share, further }) => {
    const { probability, posterior, work } = reweighOdds(state.prepared, changesBy(state, further))
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
export function resultsOf(state: SearchState, check: CompiledCheck, device: string | undefined) {
  const { model } = check
  if (model.kind === 'observation')
    return observationResults(state, state.known.instance.effectOf(model.effect, device), model.levels)
  if (model.kind === 'reading') return readingResults(state, model.reading, device)
  if (model.kind === 'applicability') return applicabilityResults(state, check, model.sets)
  return { results: [], work: 0 }
}
