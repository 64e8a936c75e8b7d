import type { Changes } from '../diagnosis/cumulative.ts'
import { type Circumstances, furtherFactors, HeldOdds, NO_DEVICE } from './circumstances.ts'
import type { CompiledCheck, CompiledModel, CompiledRelease } from './compiled.ts'
import { circumstancesOf, type Gathered, leftOfDenied, statedOf } from './gathered.ts'
import { limited } from './instantiate.ts'
import type { ReleaseIndex } from './release-index.ts'
import type { SearchState } from './search-state.ts'

/** An answer that a question of circumstances may get: how often it is given, and what it makes of prior odds. */
export interface OddsAnswer {
  result: string
  share: number
  changes: Changes
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

/** Further circumstances without those of a device; the same where there are none. */
function ofSystem({ contexts }: CompiledRelease, further: Circumstances): Circumstances {
  for (const context of further.keys())
    if (contexts[context]!.isPerDevice === true)
      return new Map([...further].filter(([one]) => contexts[one]!.isPerDevice !== true))
  return further
}

/** Factors on odds, each kept within what circumstances may come to together. */
class LimitedChanges implements Changes {
  readonly causes: number[] = []
  readonly factors: number[] = []

  /** @param before - factor that what is known comes to */
  move(cause: number, before: number, factor: number): void {
    const old = limited(before)
    const changed = limited(before * factor)
    if (old === changed || old === 0) return
    this.causes.push(cause)
    this.factors.push(changed / old)
  }
}

/**
 * Factors on prior odds that further circumstances would bring, by cause of the network, within the limit; those of a device
 * act on the causes of this device only. What remedies removed stays removed.
 */
function changesBy(
  { known, prepared, remedied }: SearchState,
  further: Circumstances,
  device: string | undefined,
): Changes {
  const { devices, keys, release, copiesOf } = known.instance
  const prior = remedied?.before ?? prepared.network.prior
  const afterRemedies = (moved: Changes) => remedied?.changes(moved) ?? moved
  const odds = oddsOf(known)
  const shared = ofSystem(release, further)
  const furtherFor = (one: string | undefined, more: Circumstances) =>
    furtherFactors(release, { known: odds.held.of(one), before: odds.of(one) }, more)
  const changes = new LimitedChanges()
  if (devices.length === 0) {
    const before = odds.of(undefined)
    for (const { cause, factor } of furtherFor(shared === further ? NO_DEVICE : undefined, further))
      if (prior[cause]! > 0) changes.move(cause, before[cause]!, factor)
    return afterRemedies(changes)
  }
  const move = (copy: number, cause: number, factor: number) => {
    if (prior[copy]! > 0) changes.move(copy, odds.of(keys[copy]!.device)[cause]!, factor)
  }
  const isOwn = (copy: number) => keys[copy]!.device === device
  if (shared.size > 0)
    for (const { cause, factor } of furtherFor(NO_DEVICE, shared))
      for (const copy of copiesOf(cause)) if (shared === further || !isOwn(copy)) move(copy, cause, factor)
  if (shared !== further)
    for (const { cause, factor } of furtherFor(device, further))
      for (const copy of copiesOf(cause)) if (isOwn(copy)) move(copy, cause, factor)
  return afterRemedies(changes)
}

/** What a result of a question of circumstances would establish, and how often it is given. */
interface PossibleAnswer {
  result: string
  share: number
  further: Circumstances
}

/** What is open of a question of circumstances: how much of the odds of each context it tells of is left, and which are known. */
interface Open {
  leftOf: (context: number) => number
  isHeld: (context: number) => boolean
}

/** The results that a question of circumstances may have: each that sets a context, and the one that sets none. */
function possibleAnswers(
  { release: { contexts }, index: { brings } }: { release: CompiledRelease; index: ReleaseIndex },
  { results, follows }: CompiledCheck,
  sets: readonly Establishes[],
  { leftOf, isHeld }: Open,
): PossibleAnswer[] {
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
  const open = sets.filter(({ context }) => leftOf(context) > 0)
  const silent = results.filter((result) => !sets.some((set) => set.result === result))
  const positive = open.map(({ result, context }) => ({
    result,
    share: shareOf(context) * leftOf(context),
    further: withFollows(brings[context]!, result),
  }))
  if (rest <= 1e-6) return positive
  const denied = open.filter(({ context }) => !isHeld(context))
  const further = new Map(denied.map(({ context }) => [context, -1]))
  const result = silent.length === 1 ? silent[0]! : ''
  return [...positive, { result, share: rest, further: withFollows(further, result) }]
}

const NOTHING_KNOWN: Open = { leftOf: () => 1, isHeld: () => false }

const untouched = new WeakMap<CompiledCheck, PossibleAnswer[]>()

/** The same under what is known; where none of its contexts was spoken of, as kept with the question. */
function answersOpen(
  { known }: SearchState,
  check: CompiledCheck,
  sets: readonly Establishes[],
  device: string | undefined,
): PossibleAnswer[] {
  const of = { release: known.instance.release, index: known.index }
  const isSpokenOf = ({ context }: Establishes) => {
    const { contexts, excludedContexts } = statedOf(known, context, device)
    return contexts.has(context) || excludedContexts.has(context)
  }
  if (sets.some(isSpokenOf))
    return possibleAnswers(of, check, sets, {
      leftOf: (context) => leftOfDenied(known, context, device),
      isHeld: (context) => statedOf(known, context, device).contexts.has(context),
    })
  const found = untouched.get(check) ?? possibleAnswers(of, check, sets, NOTHING_KNOWN)
  untouched.set(check, found)
  return found
}

/** What each answer to a question of circumstances would make of odds, and how often it is given; nothing for another check. */
export function oddsAnswers(state: SearchState, question: number, device: string | undefined): OddsAnswer[] {
  const check = state.known.instance.release.checks[question]!
  if (check.model.kind !== 'applicability') return []
  return answersOpen(state, check, check.model.sets, device).map(({ result, share, further }) => ({
    result,
    share,
    changes: changesBy(state, further, device),
  }))
}
