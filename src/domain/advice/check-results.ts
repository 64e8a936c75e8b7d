import type { Changes } from '../diagnosis/cumulative.ts'
import { outcomes } from '../diagnosis/outcomes.ts'
import { reweighOdds, takeBack } from '../diagnosis/reweigh.ts'
import { type Circumstances, furtherFactors, HeldOdds } from './circumstances.ts'
import type { CompiledCheck, CompiledModel, CompiledRelease } from './compiled.ts'
import { expectedGainBits } from './entropy.ts'
import { circumstancesOf, type Gathered, leftOfDenied, statedOf } from './gathered.ts'
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

const oddsKnown = new WeakMap<Gathered, HeldOdds>()

/** The circumstances, and what they make of the prior odds of each cause of the release. */
function oddsOf(known: Gathered): HeldOdds {
  const found = oddsKnown.get(known)
  if (found !== undefined) return found
  const odds = new HeldOdds(known.instance.release, circumstancesOf(known))
  oddsKnown.set(known, odds)
  return odds
}

/** Changes of odds as they are gathered. */
class OddsChanges implements Changes {
  readonly causes: number[] = []
  readonly factors: number[] = []

  /** A further factor on a cause where it stands in the network, within the limit. */
  add({ known, prepared }: SearchState, before: Float64Array, copy: number, factor: number): void {
    const odds = before[known.instance.keys[copy]!.cause]!
    const old = limited(odds)
    const changed = limited(odds * factor)
    if (old === changed || old === 0 || !(prepared.network.prior[copy]! > 0)) return
    this.causes.push(copy)
    this.factors.push(changed / old)
  }
}

/** Further circumstances without those of a device; the same where there are none. */
function ofSystem({ contexts }: CompiledRelease, further: Circumstances): Circumstances {
  for (const context of further.keys())
    if (contexts[context]!.isPerDevice === true)
      return new Map([...further].filter(([one]) => contexts[one]!.isPerDevice !== true))
  return further
}

/**
 * Factors on prior odds that further circumstances would bring, by cause of the network, within the limit; those of a device
 * act on the causes of this device only.
 */
function changesBy(state: SearchState, further: Circumstances, device: string | undefined): Changes {
  const { instance } = state.known
  const odds = oddsOf(state.known)
  const changes = new OddsChanges()
  const furtherFor = (one: string | undefined, more: Circumstances) =>
    furtherFactors(instance.release, { known: odds.held.of(one), before: odds.of(one) }, more)
  const shared = ofSystem(instance.release, further)
  const oddsAt = (copy: number) => odds.of(instance.keys[copy]!.device)
  const isOwn = (copy: number) => instance.keys[copy]!.device === device
  if (shared.size > 0)
    for (const { cause, factor } of furtherFor(NOWHERE, shared))
      for (const copy of instance.copiesOf(cause))
        if (shared === further || !isOwn(copy)) changes.add(state, oddsAt(copy), copy, factor)
  if (shared !== further)
    for (const { cause, factor } of furtherFor(device, further))
      for (const copy of instance.copiesOf(cause)) if (isOwn(copy)) changes.add(state, oddsAt(copy), copy, factor)
  return changes
}
/** No device has this name: for it the circumstances of the system hold, and no others. */
const NOWHERE = ''

/** What a result of a question of circumstances would establish, and how often it is given. */
interface PossibleAnswer {
  result: string
  share: number
  further: Circumstances
}

/** The results that a question of circumstances may have: each that sets a context, and the one that sets none. */
function possibleAnswers(
  { known }: SearchState,
  { results, follows }: CompiledCheck,
  sets: readonly Establishes[],
  device: string | undefined,
): PossibleAnswer[] {
  const { contexts } = known.instance.release
  const { brings } = known.index
  /** Whatever else follows from the result comes on top. */
  const withFollows = (own: Circumstances, result: string): Circumstances => {
    const { implies = [], rulesOut = [] } = follows?.[result] ?? {}
    if (implies.length === 0 && rulesOut.length === 0) return own
    const out = rulesOut.map((context) => [context, -1] as const)
    return new Map([...out, ...own, ...implies.flatMap((context) => [...brings[context]!])])
  }
  /** Results that mean the same circumstance have its share together. */
  const shareOf = (context: number) => contexts[context]!.share / sets.filter((set) => set.context === context).length
  const rest = 1 - sets.reduce((sum, { context }) => sum + shareOf(context), 0)
  const open = sets.filter(({ context }) => leftOfDenied(known, context, device) > 0)
  const silent = results.filter((result) => !sets.some((set) => set.result === result))
  const positive = open.map(({ result, context }) => ({
    result,
    share: shareOf(context) * leftOfDenied(known, context, device),
    further: withFollows(brings[context]!, result),
  }))
  if (rest <= 1e-6) return positive
  const further = new Map(
    open
      .filter(({ context }) => !statedOf(known, context, device).contexts.has(context))
      .map(({ context }) => [context, -1]),
  )
  const result = silent.length === 1 ? silent[0]! : ''
  return [...positive, { result, share: rest, further: withFollows(further, result) }]
}

/** Each result of a question of circumstances: P(result | evidence) from its share and how well it fits the evidence. */
function applicabilityResults(
  state: SearchState,
  check: CompiledCheck,
  sets: readonly Establishes[],
  device: string | undefined,
) {
  const weighed = possibleAnswers(state, check, sets, device).map(({ result, share, further }) => {
    const { probability, posterior, work } = reweighOdds(state.prepared, changesBy(state, further, device))
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
  if (model.kind === 'applicability') return applicabilityResults(state, check, model.sets, device)
  return { results: [], work: 0 }
}
