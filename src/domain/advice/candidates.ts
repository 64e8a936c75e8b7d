import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck } from './compiled.ts'
import { binaryEntropyBits } from './entropy.ts'
import { askedKey, isRuledOut, statedOf } from './gathered.ts'
import { hasOneResultLeft, isKeptBack } from './goes-with.ts'
import { costMinutes, type SearchState } from './search-state.ts'

/** Causes less likely than this do not make a check worth evaluating. */
const RELEVANT_PROBABILITY = 0.02

/** A check that may tell something, put for a device. */
export interface Candidate {
  check: number
  device?: string
  screen: number
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
  const { low, high } = model.kind === 'reading' ? release.readings[model.reading]! : {}
  const effects = model.kind === 'observation' ? [model.effect] : [low, high]
  const linked = effects.flatMap((effect) =>
    effect === undefined ? [] : instance.effects[instance.effectOf(effect, device)]!.links.map(({ cause }) => cause),
  )
  return [...new Set(linked)]
}

/** Entropy of the causes that a check speaks of, each once. */
function screenOf(state: SearchState, bits: Float64Array, check: number, device: string | undefined): number {
  const { instance } = state.known
  const { model } = instance.release.checks[check]!
  let sum = 0
  if (model.kind === 'observation')
    for (const { cause } of instance.effects[instance.effectOf(model.effect, device)]!.links) sum += bits[cause]!
  else for (const cause of causesOf(state, check, device)) sum += bits[cause]!
  return sum
}

/** Entropy of each cause that a question is worth asking about; 0 for the others. */
function openBits({ posterior, relevant }: SearchState): Float64Array {
  const bits = new Float64Array(posterior.length)
  for (const cause of relevant)
    if (posterior[cause]! >= RELEVANT_PROBABILITY) bits[cause] = binaryEntropyBits(posterior[cause]!)
  return bits
}

/** Checks that speak of an open cause, for one device or another. */
function speaksOfOpen({ known: { instance, index } }: SearchState, bits: Float64Array): Uint8Array {
  const speaks = new Uint8Array(instance.release.checks.length)
  for (let cause = 0; cause < bits.length; cause++)
    if (bits[cause]! > 0) for (const check of index.checksOfCause[instance.keys[cause]!.cause]!) speaks[check] = 1
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

/** Checks that speak of something open, each with an upper guess of its worth: the entropy of its causes, per minute. */
export function candidates(state: SearchState): Candidate[] {
  const { known, limits } = state
  const { release } = known.instance
  const bits = openBits(state)
  const speaks = speaksOfOpen(state, bits)
  const list: Candidate[] = []
  release.checks.forEach((check, index) => {
    if (speaks[index] === 0 || check.model.kind === 'danger' || check.model.kind === 'reveals') return
    for (const device of devicesOf(state, check)) {
      if (!isAbout(state, check, device)) continue
      const screen = screenOf(state, bits, index, device)
      if (!(screen > 0) || known.asked.has(askedKey(index, device))) continue
      if (isBeyondSenses(check, limits)) return
      if (isSettled(state, check, device) || hasOneResultLeft(known, check, device)) continue
      if (isKeptBack(known, check, device)) continue
      if (device !== undefined && !speaksOfDevice(state, index, device)) continue
      list.push({ check: index, ...(device === undefined ? {} : { device }), screen: screen / costMinutes(check) })
    }
  })
  return list
}
