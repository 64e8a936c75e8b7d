import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck } from './compiled.ts'
import { askedKey, type Gathered, isRuledOut, statedOf } from './gathered.ts'
import { hasOneResultLeft, isKeptBack } from './goes-with.ts'
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

const NO_ANSWERS: OddsAnswer[] = []

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
  const { low, high } = model.kind === 'reading' ? release.readings[model.reading]! : {}
  const effects = model.kind === 'observation' ? [model.effect] : [low, high]
  const linked = effects.flatMap((effect) =>
    effect === undefined ? [] : instance.effects[instance.effectOf(effect, device)]!.links.map(({ cause }) => cause),
  )
  return [...new Set(linked)]
}

/** Whether a check speaks of a cause that is open. */
function speaksOf(state: SearchState, open: Uint8Array, check: number, device: string | undefined): boolean {
  const { instance } = state.known
  const { model } = instance.release.checks[check]!
  if (model.kind === 'observation')
    return instance.effects[instance.effectOf(model.effect, device)]!.links.some(({ cause }) => open[cause] === 1)
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

/**
 * Whether one of the conditions that a check is about stands: anywhere for a check of the system; on the device it is put for,
 * or as one of the whole system, for a check of a device. Never for a check that is about none.
 */
function isAbout({ known }: SearchState, { about, isPerDevice }: CompiledCheck, device: string | undefined): boolean {
  if (about === undefined || (about.length > 0 && known.present.length === 0)) return true
  const { release } = known.instance
  const isOfSystem = (condition: number) => !release.effects[release.conditions[condition]!.effect]!.isPerDevice
  return known.present.some(
    (one) => about.includes(one.condition) && (!isPerDevice || one.device === device || isOfSystem(one.condition)),
  )
}

/** Whether a check put for a device speaks of something that may be wrong with this device, and not of the system alone. */
function speaksOfDevice(state: SearchState, check: number, device: string): boolean {
  const { keys } = state.known.instance
  return causesOf(state, check, device).some((cause) => keys[cause]!.device === device && state.relevant.has(cause))
}

export const isBeyondSenses = ({ senses = [] }: CompiledCheck, { lackingSenses = [] }: Limits) =>
  senses.some((sense) => lackingSenses.includes(sense))

/** The answers of a question of circumstances; none for another check. */
function answersTo(state: SearchState, check: CompiledCheck, device: string | undefined): OddsAnswer[] {
  return check.model.kind === 'applicability' ? oddsAnswers(state, check, check.model.sets, device) : NO_ANSWERS
}

/** What a check may bring, as a cheap guess. */
function guessedBits(
  screen: Screen,
  { instance }: Gathered,
  { model }: CompiledCheck,
  candidate: Omit<Candidate, 'screen'>,
) {
  const ofEffect = (effect: number) => screen.ofEffect(instance.effects[instance.effectOf(effect, candidate.device)]!)
  if (model.kind === 'observation') return ofEffect(model.effect)
  if (model.kind === 'applicability') return screen.ofAnswers(candidate.answers)
  const { low, high } = instance.release.readings[(model as { reading: number }).reading]!
  return Math.max(low === undefined ? 0 : ofEffect(low), high === undefined ? 0 : ofEffect(high))
}

/** Checks that speak of something open, each with a cheap guess of what it brings per minute. */
export function candidates(state: SearchState): Candidate[] {
  const { known, limits } = state
  const { release } = known.instance
  const open = openCauses(state)
  const speaks = speaksOfOpen(state, open)
  const screen = new Screen(state)
  const list: Candidate[] = []
  release.checks.forEach((check, index) => {
    if (speaks[index] === 0 || check.model.kind === 'danger' || check.model.kind === 'reveals') return
    if (isBeyondSenses(check, limits)) return
    for (const device of devicesOf(state, check)) {
      if (!isAbout(state, check, device) || !speaksOf(state, open, index, device)) continue
      if (known.asked.has(askedKey(index, device))) continue
      if (isSettled(state, check, device) || hasOneResultLeft(known, check, device)) continue
      if (isKeptBack(known, check, device)) continue
      if (device !== undefined && !speaksOfDevice(state, index, device)) continue
      const candidate = {
        check: index,
        ...(device === undefined ? {} : { device }),
        answers: answersTo(state, check, device),
      }
      list.push({ ...candidate, screen: guessedBits(screen, known, check, candidate) / costMinutes(check) })
    }
  })
  return list
}
