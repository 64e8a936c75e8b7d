import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck, CompiledRelease } from './compiled.ts'
import { askedKey, isRuledOut, statedOf } from './gathered.ts'
import { hasOneResultLeft, isAbout, isKeptBack } from './goes-with.ts'
import { type OddsAnswer, oddsAnswers } from './odds-answers.ts'
import { Screen } from './screen.ts'
import { costMinutes, type SearchState } from './search-state.ts'

/** Causes less likely than this do not make a check worth evaluating. */
const RELEVANT_PROBABILITY = 0.02

/** A check that may tell something, put for a device. */
export interface Candidate {
  check: number
  device?: string
  /** Of a question of circumstances: what each answer would make of odds. */
  answers: readonly OddsAnswer[]
  /** A cheap guess of the bits that it brings per minute. */
  screen: number
}

/** Effects of the release that a check sees the level of. */
function effectsOf({ checks, readings }: CompiledRelease, check: number): number[] {
  const { model } = checks[check]!
  if (model.kind === 'observation') return [model.effect]
  const { low, high } = model.kind === 'reading' ? readings[model.reading]! : {}
  return [low, high].filter((effect) => effect !== undefined)
}

/** Causes that a check speaks of, in the network of this call, each once. */
export function causesOf(state: SearchState, check: number, device: string | undefined): readonly number[] {
  const { instance, index } = state.known
  const ofRelease = index.causesOfCheck[check]!
  if (instance.devices.length === 0) return ofRelease
  const { release } = instance
  const { model } = release.checks[check]!
  if (model.kind === 'applicability') {
    const copies = ofRelease.flatMap(instance.copiesOf)
    return index.tellsOfDevice[check] ? copies.filter((copy) => instance.keys[copy]!.device === device) : copies
  }
  const linked = effectsOf(release, check).flatMap((effect) =>
    instance.effects[instance.effectOf(effect, device)]!.links.map(({ cause }) => cause),
  )
  return [...new Set(linked)]
}

/** Whether a check that speaks of an open cause speaks of one when it is put for a device, or for none. */
function speaksFor(state: SearchState, open: Uint8Array, check: number, device: string | undefined): boolean {
  const { instance } = state.known
  if (instance.devices.length === 0) return true
  return causesOf(state, check, device).some((cause) => open[cause] === 1)
}

/** Causes that a question is worth asking about: neither excluded nor certain. */
function openCauses({ posterior, relevant }: SearchState): Uint8Array {
  const open = new Uint8Array(posterior.length)
  for (const cause of relevant) if (posterior[cause]! >= RELEVANT_PROBABILITY && posterior[cause]! < 1) open[cause] = 1
  return open
}

/** Checks that speak of an open cause, for one device or another. */
function speaksOfOpen({ known: { instance, index } }: SearchState, open: Uint8Array): Uint8Array {
  const speaks = new Uint8Array(instance.release.checks.length)
  for (let cause = 0; cause < open.length; cause++)
    if (open[cause] === 1) for (const check of index.checksOfCause[instance.keys[cause]!.cause]!) speaks[check] = 1
  return speaks
}

/** Whether the question of circumstances has its answer: one of the dimension holds, or all that it can tell is ruled out. */
function isSettled({ known }: SearchState, { model }: CompiledCheck, device: string | undefined): boolean {
  if (model.kind !== 'applicability') return false
  const { dimensionOf } = known.index
  const isHeld = (context: number) => statedOf(known, context, device).contexts.has(context)
  return (
    model.sets.some(({ context }) => dimensionOf[context]!.members.some(isHeld)) ||
    model.sets.every(({ context }) => isRuledOut(known, context, device))
  )
}

/** Devices a check is put for: each named one, and the unnamed one when something is known of it. */
function devicesOf({ known: { instance } }: SearchState, check: CompiledCheck): (string | undefined)[] {
  if (!check.isPerDevice) return [undefined]
  return instance.hasUnnamedDevice ? [undefined, ...instance.devices] : [...instance.devices]
}

/** Whether a check put for a device speaks of something that may be wrong with this device, and not of the system alone. */
function speaksOfDevice(state: SearchState, check: number, device: string): boolean {
  const { keys } = state.known.instance
  return causesOf(state, check, device).some((cause) => keys[cause]!.device === device && state.relevant.has(cause))
}

export const isBeyondSenses = ({ senses = [] }: CompiledCheck, { lackingSenses = [] }: Limits) =>
  senses.some((sense) => lackingSenses.includes(sense))

/** A check put for a device, or for none. */
type Put = Pick<Candidate, 'check' | 'device'>

/** Whether a check that may speak of something open is worth asking in this call at all. */
function isOpenTo(state: SearchState, open: Uint8Array, index: number, device: string | undefined): boolean {
  const { known } = state
  const check = known.instance.release.checks[index]!
  return (
    isAbout(known, check, device) &&
    speaksFor(state, open, index, device) &&
    !known.asked.has(askedKey(index, device)) &&
    !isSettled(state, check, device) &&
    !hasOneResultLeft(known, check, device) &&
    !isKeptBack(known, check, device) &&
    (device === undefined || speaksOfDevice(state, index, device))
  )
}

/** Checks that speak of something open. */
function openChecks(state: SearchState): Put[] {
  const { checks } = state.known.instance.release
  const open = openCauses(state)
  const speaks = speaksOfOpen(state, open)
  const list: Put[] = []
  for (let index = 0; index < checks.length; index++) {
    const check = checks[index]!
    if (speaks[index] === 0 || isBeyondSenses(check, state.limits)) continue
    for (const device of devicesOf(state, check))
      if (isOpenTo(state, open, index, device)) list.push({ check: index, ...(device === undefined ? {} : { device }) })
  }
  return list
}

/** What seeing the level of an effect may bring; of two sides of a reading the one that brings more. */
function guessedOfEffects({ known: { instance } }: SearchState, screen: Screen, { check, device }: Put): number {
  const effects = effectsOf(instance.release, check)
  return Math.max(0, ...effects.map((effect) => screen.ofEffect(instance.effects[instance.effectOf(effect, device)]!)))
}

function guessed(state: SearchState, screen: Screen, put: Put): Candidate {
  const answers = oddsAnswers(state, put.check, put.device)
  const bits = answers.length > 0 ? screen.ofAnswers(answers) : guessedOfEffects(state, screen, put)
  return { ...put, answers, screen: bits / costMinutes(state.known.instance.release.checks[put.check]!) }
}

/** Checks that speak of something open, each with a cheap guess of what it brings per minute. */
export function candidates(state: SearchState): Candidate[] {
  const screen = new Screen(state)
  return openChecks(state).map((put) => guessed(state, screen, put))
}
