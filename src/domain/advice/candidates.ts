import type { Limits } from '../findings/finding.ts'
import type { CompiledCheck } from './compiled.ts'
import { binaryEntropyBits } from './entropy.ts'
import { askedKey } from './gathered.ts'
import { type Permit, permit } from './permit.ts'
import { costMinutes, type SearchState } from './search-state.ts'

/** Causes less likely than this do not make a check worth evaluating. */
const RELEVANT_PROBABILITY = 0.01

/** A check that may tell something, put for a device. */
export interface Candidate {
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

const isBeyondSenses = ({ senses = [] }: CompiledCheck, { lackingSenses = [] }: Limits) =>
  senses.some((sense) => lackingSenses.includes(sense))

/** Checks that speak of something open, each with whether it may be put and an upper guess of its worth. */
export function candidates(state: SearchState): Candidate[] {
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
