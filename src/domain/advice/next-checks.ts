import { outcomes } from '../diagnosis/outcomes.ts'
import type { Prepared } from '../diagnosis/prepare.ts'
import { reweighPrior } from '../diagnosis/reweigh.ts'
import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck, CompiledRelease } from './compiled.ts'
import { binaryEntropyBits, expectedGainBits, type PossibleResult } from './entropy.ts'
import { askedKey, type Gathered, heldContexts } from './gathered.ts'
import { contextFactor, type HeldContexts } from './instantiate.ts'
import { type Permit, permit } from './permit.ts'

export interface NextCheck {
  check: number
  device?: string
  gainBits: number
  /** Minutes with those of the questions that must come first. */
  minutes: number
  bitsPerMinute: number
  results: PossibleResult[]
  /** Why it stands where it does. */
  why: 'most-information-per-minute' | 'open-the-display-first' | 'opens-the-way'
  /** The check that this one opens the way for. */
  before?: number
}
export interface RefusedCheck {
  check: number
  permit: Extract<Permit, { verdict: 'refused' }>
  gainBits: number
}
export interface SearchedChecks {
  checks: NextCheck[]
  refused: RefusedCheck[]
  evaluated: number
  of: number
  stateUpdates: number
}

/** What the search reads: the state of knowledge and its inference. */
export interface SearchState {
  known: Gathered
  prepared: Prepared
  posterior: Float64Array
  /** Causes that can bring about what stands; telling others apart is of no use now. */
  relevant: ReadonlySet<number>
  /** The relevant causes, those that are repaired alike together. */
  groups: readonly (readonly number[])[]
  limits: Limits
}

/** State updates that a search may spend: keeps a full answer under 10 ms on a small isolate. */
export const SEARCH_BUDGET = 400_000
/** A check that tells less than this, or less a minute, is not worth the caller's patience. Judgement. */
const USEFUL_BITS = 0.03
const USEFUL_BITS_PER_MINUTE = 0.02
/** Causes less likely than this do not make a check worth evaluating. */
const RELEVANT_PROBABILITY = 0.01

/** An hour of waiting counts as six minutes of attention. Judgement. */
const WAIT_WEIGHT = 0.1
/** Putting a question and hearing the answer, whatever it is about [min]. Judgement. */
const ASKING_MINUTES = 0.5
const costMinutes = ({ minutes, waitMinutes }: CompiledCheck) => ASKING_MINUTES + minutes + WAIT_WEIGHT * waitMinutes

interface Candidate {
  check: number
  device?: string
  permit: Permit
  screen: number
}

/** Causes that a check speaks of, in the network of this call. */
export function causesOf(state: SearchState, { model }: CompiledCheck, device: string | undefined): number[] {
  const { instance } = state.known
  const release = instance.release
  const linked = (effect: number | undefined) =>
    effect === undefined ? [] : instance.effects[instance.effectOf(effect, device)]!.links.map(({ cause }) => cause)
  if (model.kind === 'observation') return linked(model.effect)
  if (model.kind === 'reading') {
    const { low, high } = release.readings[model.reading]!
    return [...linked(low), ...linked(high)]
  }
  if (model.kind !== 'applicability') return []
  const { causesOfContext } = state.known.index
  return model.sets.flatMap(({ context }) => causesOfContext[context]!.flatMap(instance.copiesOf))
}

/** Causes linked to a condition that stands; every cause while none does. */
export function relevantCauses({ instance, present }: Gathered): Set<number> {
  if (present.length === 0) return new Set(instance.keys.keys())
  return new Set(present.flatMap(({ effect }) => instance.effects[effect]!.links.map(({ cause }) => cause)))
}

/** Relevant causes by their first remedy and device: telling apart what is repaired alike is worth nobody's minutes. */
export function repairedAlike({ instance, index }: Gathered, relevant: ReadonlySet<number>): number[][] {
  const groups = new Map<string, number[]>()
  for (const position of relevant) {
    const { cause, device } = instance.keys[position]!
    const remedy = index.firstRemedyOf[cause]!
    const name = remedy < 0 ? `cause ${position}` : askedKey(remedy, device)
    groups.set(name, [...(groups.get(name) ?? []), position])
  }
  return [...groups.values()]
}

/** Cheap upper guess of a check's worth: the whole entropy of the causes it speaks of, per minute. */
function screenOf(state: SearchState, check: CompiledCheck, device: string | undefined): number {
  let bits = 0
  for (const cause of new Set(causesOf(state, check, device))) {
    const probability = state.posterior[cause]!
    if (state.relevant.has(cause) && probability >= RELEVANT_PROBABILITY) bits += binaryEntropyBits(probability)
  }
  return bits / costMinutes(check)
}

/** Contexts of the dimension are settled, so that the question has its answer. */
function isSettled(state: SearchState, { model }: CompiledCheck): boolean {
  if (model.kind !== 'applicability') return false
  const { contexts, excludedContexts, instance } = state.known
  const dimensions = new Set(model.sets.map(({ context }) => instance.release.contexts[context]!.dimension ?? context))
  const isKnown = (context: number) => contexts.has(context) || excludedContexts.has(context)
  return (
    [...contexts.keys()].some((context) => dimensions.has(instance.release.contexts[context]!.dimension ?? context)) ||
    model.sets.every(({ context }) => isKnown(context))
  )
}

/** Devices a check is put for: each named one, and the unnamed one when something is known of it. */
function devicesOf({ known: { instance } }: SearchState, check: CompiledCheck): (string | undefined)[] {
  if (!check.isPerDevice) return [undefined]
  return instance.hasUnnamedDevice ? [undefined, ...instance.devices] : [...instance.devices]
}

const isBeyondSenses = ({ senses = [] }: CompiledCheck, { lacking = [] }: Limits) =>
  senses.some((sense) => lacking.includes(sense))

function candidates(state: SearchState): Candidate[] {
  const { known, limits } = state
  const release = known.instance.release
  return release.checks.flatMap((check, index) => {
    const kind = check.model.kind
    if (kind === 'danger' || kind === 'reveals' || isSettled(state, check) || isBeyondSenses(check, limits)) return []
    const devices = devicesOf(state, check)
    return devices
      .filter((device) => !known.asked.has(askedKey(index, device)))
      .map((device) => ({ device, screen: screenOf(state, check, device) }))
      .filter(({ screen }) => screen > 0)
      .map(({ device, screen }) => ({
        check: index,
        ...(device === undefined ? {} : { device }),
        permit: permit(release, check, known, limits, device),
        screen,
      }))
  })
}

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

/** Factors on prior odds that one more context would bring, by cause of the network. */
function factorsOf({ known }: SearchState, held: HeldContexts, context: number): Map<number, number> {
  const { instance, index } = known
  const with_ = new Map([...held, [context, 1]])
  const changed = new Map<number, number>()
  for (const cause of index.causesOfContext[context]!)
    for (const copy of instance.copiesOf(cause)) {
      const [before, after] = [contextFactor(instance, held, copy), contextFactor(instance, with_, copy)]
      if (after !== before) changed.set(copy, after / before)
    }
  return changed
}

/** Each result of a question of circumstances: P(result | evidence) from its share and how well it fits the evidence. */
function applicabilityResults(state: SearchState, sets: readonly { result: string; context: number }[]) {
  const { excludedContexts, instance } = state.known
  const held = heldContexts(state.known)
  const shareOf = (context: number) => instance.release.contexts[context]!.share
  const rest = 1 - sets.reduce((sum, { context }) => sum + shareOf(context), 0)
  const open = sets.filter(({ context }) => !excludedContexts.has(context))
  const weighed = open.map(({ result, context }) => {
    const { probability, posterior, work } = reweighPrior(state.prepared, factorsOf(state, held, context))
    return { result, posterior, weight: shareOf(context) * probability, work }
  })
  if (rest > 1e-6) weighed.push({ result: '', posterior: state.posterior, weight: rest, work: 0 })
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0)
  const possible = total > 0 ? weighed : []
  return {
    results: possible.map(({ result, posterior, weight }) => ({ result, posterior, probability: weight / total })),
    work: weighed.reduce((sum, { work }) => sum + work, 0),
  }
}

function resultsOf(state: SearchState, check: CompiledCheck, device: string | undefined) {
  const { model } = check
  if (model.kind === 'observation')
    return observationResults(state, state.known.instance.effectOf(model.effect, device), model.levels)
  if (model.kind === 'reading') return readingResults(state, model.reading, device)
  if (model.kind === 'applicability') return applicabilityResults(state, model.sets)
  return { results: [], work: 0 }
}

/** Questions that must be answered before a check, each at most once, innermost first. */
function wayTo(release: CompiledRelease, known: Gathered, limits: Limits, candidate: Candidate): number[] | undefined {
  const way: number[] = []
  let next = candidate.permit
  while (next.verdict === 'after') {
    if (way.includes(next.check)) return undefined
    way.unshift(next.check)
    next = permit(release, release.checks[next.check]!, known, limits, candidate.device)
  }
  return next.verdict === 'allowed' ? way : undefined
}

/** Rates nearer than about this ratio are the same to a person on the phone: then the safer and easier question goes first. Judgement. */
const NEAR_RATIO = 1.15
const quantise = (rate: number) => Math.round(Math.log(rate) / Math.log(NEAR_RATIO))

/** By rate, near-equals by fewer things disturbed and fewer hazards, then by id: the same everywhere. */
function inOrder(release: CompiledRelease): (a: NextCheck, b: NextCheck) => number {
  const ease = ({ check }: NextCheck) => release.checks[check]!.disturbs.length + release.checks[check]!.hazards.length
  return (a, b) =>
    quantise(b.bitsPerMinute) - quantise(a.bitsPerMinute) ||
    ease(a) - ease(b) ||
    Math.round((b.bitsPerMinute - a.bitsPerMinute) * 1e9) ||
    (release.checks[a.check]!.id < release.checks[b.check]!.id ? -1 : 1)
}

/** Puts the question that opens the way in place of a check that is not yet allowed. */
function opened(release: CompiledRelease, way: readonly number[], found: NextCheck): NextCheck {
  const first = way[0]
  if (first === undefined) return found
  const { device: _, ...rest } = found
  const { isPerDevice } = release.checks[first]!
  return {
    ...(isPerDevice ? found : rest),
    check: first,
    results: [],
    why: 'opens-the-way',
    before: found.check,
  }
}

/**
 * Checks that tell most per minute, one step ahead and exact for yes-no and graded observations.
 * Goes through the candidates in the order of a cheap screen until the budget of counted state updates is spent.
 */
export function searchChecks(state: SearchState, budget = SEARCH_BUDGET): SearchedChecks {
  const release = state.known.instance.release
  const list = candidates(state).sort((a, b) => b.screen - a.screen || a.check - b.check)
  const found: SearchedChecks = { checks: [], refused: [], evaluated: 0, of: list.length, stateUpdates: 0 }
  for (const candidate of list) {
    if (found.stateUpdates >= budget || cannotMatter(candidate, found.checks)) break
    const check = release.checks[candidate.check]!
    const { results, work } = resultsOf(state, check, candidate.device)
    const gainBits = expectedGainBits(results, state.groups)
    found.evaluated++
    found.stateUpdates += work + state.posterior.length
    if (gainBits < USEFUL_BITS || gainBits / costMinutes(check) < USEFUL_BITS_PER_MINUTE) continue
    const way = wayTo(release, state.known, state.limits, candidate)
    if (candidate.permit.verdict === 'refused' || way === undefined) {
      const reason = candidate.permit.verdict === 'refused' ? candidate.permit : blockedWay(release, state, candidate)
      found.refused.push({ check: candidate.check, permit: reason, gainBits })
      continue
    }
    const minutes = way.reduce((sum, step) => sum + costMinutes(release.checks[step]!), costMinutes(check))
    const offered: NextCheck = {
      check: candidate.check,
      ...(candidate.device === undefined ? {} : { device: candidate.device }),
      gainBits,
      minutes,
      bitsPerMinute: gainBits / minutes,
      results: results.filter(({ result }) => result !== ''),
      why: 'most-information-per-minute',
    }
    found.checks.push(opened(release, way, offered))
  }
  found.checks = unique(found.checks.sort(inOrder(release)))
  return found
}

/** So many checks are offered: what could not be among them need not be worked out. */
const OFFERED = 8

/** Causes that a check does not speak of move with those it does: so much may come on top. Judgement. */
const ON_TOP = 2

/** Whether even twice the entropy of the causes a check speaks of, per minute, is less than what enough others bring. */
function cannotMatter({ screen }: Candidate, checks: readonly NextCheck[]): boolean {
  if (checks.length < OFFERED) return false
  const least = checks.map(({ bitsPerMinute }) => bitsPerMinute).sort((a, b) => b - a)[OFFERED - 1]!
  return ON_TOP * screen < least
}

function blockedWay(release: CompiledRelease, state: SearchState, candidate: Candidate): RefusedCheck['permit'] {
  const first = candidate.permit.verdict === 'after' ? candidate.permit.check : candidate.check
  const inner = permit(release, release.checks[first]!, state.known, state.limits, candidate.device)
  return inner.verdict === 'refused'
    ? inner
    : { verdict: 'refused', reason: 'wrong-earlier-result', detail: release.checks[first]!.id }
}

/** The same question once, where it ranks highest. */
function unique(checks: readonly NextCheck[]): NextCheck[] {
  const seen = new Set<string>()
  return checks.filter(({ check, device }) => {
    const key = askedKey(check, device)
    if (seen.has(key)) return false
    seen.add(key)
    return true
  })
}
