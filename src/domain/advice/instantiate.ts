import { adjustPrior } from '../diagnosis/adjust-prior.ts'
import type { Effect, Network } from '../diagnosis/network.ts'
import type { CompiledEffect, CompiledRelease } from './compiled.ts'
import { indexRelease } from './release-index.ts'

/**
 * Share of systems whose display can show a given condition at all; scales the links of a condition
 * that a fully read display does not show. Judgement, no source.
 */
const DISPLAY_SHOWS_FRACTION = 0.6

export interface CauseKey {
  /** Index in the release. */
  cause: number
  device?: string
}

/** The release's network with one copy of the per-device part for each named device. */
export interface Instance {
  release: CompiledRelease
  devices: readonly string[]
  /** Whether something is known of a device that was not named; otherwise no such device is looked for. */
  hasUnnamedDevice: boolean
  /** Which cause each index of the network stands for; an index below the release's count is the cause itself. */
  keys: CauseKey[]
  /** Where a cause of the release stands in the network: itself and its copies for devices. */
  copiesOf: (cause: number) => number[]
  /** Members of each exclusive group. */
  groups: readonly (readonly number[])[]
  effects: Effect[]
  /** Index in `effects` of an effect of the release, for a device when it has one. */
  effectOf: (effect: number, device?: string) => number
}

interface Layout {
  /** Index of a cause's instance. */
  causeAt: (cause: number, device: number) => number
  keys: CauseKey[]
  copiesOf: (cause: number) => number[]
}

function layOutCauses(release: CompiledRelease, devices: readonly string[]): Layout {
  const perDevice = release.causes.flatMap((cause, index) => (cause.isPerDevice ? [index] : []))
  const rank = new Map(perDevice.map((cause, position) => [cause, position]))
  const keys: CauseKey[] = release.causes.map((_, cause) => ({ cause }))
  for (const device of devices) for (const cause of perDevice) keys.push({ cause, device })
  const causeAt = (cause: number, device: number) => {
    const position = rank.get(cause)
    return position === undefined ? cause : release.causes.length + device * perDevice.length + position
  }
  const copiesOf = (cause: number) =>
    rank.has(cause) ? [cause, ...devices.map((_, device) => causeAt(cause, device))] : [cause]
  return { keys, causeAt, copiesOf }
}

/** An effect of the system with each of its per-device causes on every device. */
function ofAllCopies(effect: CompiledEffect, copiesOf: Layout['copiesOf']): Effect {
  if (effect.links.every(({ cause }) => copiesOf(cause).length === 1)) return effect
  const links = effect.links.flatMap(({ cause, levels }) => copiesOf(cause).map((copy) => ({ cause: copy, levels })))
  return { leak: effect.leak, links: links.sort((a, b) => a.cause - b.cause) }
}

type Shared = Omit<Instance, 'hasUnnamedDevice'>
const withoutDevices = new WeakMap<CompiledRelease, Shared>()

/** Copies the per-device causes and effects for each device; what belongs to the system is shared. */
export function instantiate(release: CompiledRelease, devices: readonly string[], hasUnnamedDevice: boolean): Instance {
  if (devices.length > 0) return { ...copied(release, devices), hasUnnamedDevice }
  let shared = withoutDevices.get(release)
  if (shared === undefined) {
    shared = copied(release, devices)
    withoutDevices.set(release, shared)
  }
  return { ...shared, effects: shared.effects.slice(), hasUnnamedDevice }
}

function copied(release: CompiledRelease, devices: readonly string[]): Shared {
  const { keys, causeAt, copiesOf } = layOutCauses(release, devices)
  const perDevice = release.effects.flatMap((effect, index) => (effect.isPerDevice ? [index] : []))
  const rank = new Map(perDevice.map((effect, position) => [effect, position]))
  const effects: Effect[] =
    devices.length === 0
      ? release.effects.slice()
      : release.effects.map((effect) => (effect.isPerDevice ? effect : ofAllCopies(effect, copiesOf)))
  devices.forEach((_, device) => {
    for (const index of perDevice) {
      const { leak, links } = release.effects[index]!
      effects.push({ leak, links: links.map((link) => ({ ...link, cause: causeAt(link.cause, device) })) })
    }
  })
  const effectOf = (effect: number, device?: string) => {
    const position = rank.get(effect)
    const number = device === undefined ? -1 : devices.indexOf(device)
    return position === undefined || number < 0 ? effect : release.effects.length + number * perDevice.length + position
  }
  return {
    release,
    devices,
    keys,
    copiesOf,
    groups: exclusiveGroups(release, keys),
    effects,
    effectOf,
  }
}

const silentOf = new WeakMap<Effect, Effect>()

/** The effect behind a condition that a fully read display does not show: as absent, but more weakly. Kept for each effect. */
export function silentEffect(effect: Effect): Effect {
  const known = silentOf.get(effect)
  if (known) return known
  const silent = weakened(effect)
  silentOf.set(effect, silent)
  return silent
}

function weakened({ leak, links }: Effect): Effect {
  const weaken = (levels: readonly number[]) => {
    const shown = DISPLAY_SHOWS_FRACTION * levels[1]!
    return [1 - shown, shown]
  }
  return { leak: weaken(leak), links: links.map(({ cause, levels }) => ({ cause, levels: weaken(levels) })) }
}

/** Members of each exclusive group, by index of the network. */
function exclusiveGroups(release: CompiledRelease, keys: readonly CauseKey[]): number[][] {
  const groups = new Map<string, number[]>()
  keys.forEach(({ cause, device }, index) => {
    const group = release.causes[cause]!.group
    if (group === undefined) return
    const name = `${group} ${device ?? ''}`
    groups.set(name, [...(groups.get(name) ?? []), index])
  })
  return [...groups.values()]
}

/** Contexts together never move the odds of a cause further than this either way. Judgement. */
const FACTOR_LIMIT = 50

/** Contexts that hold, each with how surely: a probability. */
export type HeldContexts = ReadonlyMap<number, number>

/**
 * What the contexts that hold make of the prior odds of each cause of the release, before the limit.
 *
 * a context that holds with probability r moves the odds by 1 + r (factor - 1)
 */
export function oddsFactors(release: CompiledRelease, held: HeldContexts): Float64Array {
  const { shiftsOfContext } = indexRelease(release)
  const factors = new Float64Array(release.causes.length).fill(1)
  for (const [context, degree] of held)
    for (const { cause, factor } of shiftsOfContext[context]!) factors[cause]! *= 1 + degree * (factor - 1)
  return factors
}

/** A factor on prior odds within the limit; 0 removes a cause. */
export const limited = (factor: number): number =>
  factor === 0 ? 0 : Math.min(Math.max(factor, 1 / FACTOR_LIMIT), FACTOR_LIMIT)

/** Prior odds factor of each cause of the network while the given contexts hold; 0 removes it. */
export function contextFactors({ release, keys, hasUnnamedDevice }: Instance, held: HeldContexts): number[] {
  const factors = oddsFactors(release, held)
  return keys.map(({ cause, device }) => {
    const isNowhere = device === undefined && !hasUnnamedDevice && release.causes[cause]!.isPerDevice
    return isNowhere ? 0 : limited(factors[cause]!)
  })
}

/** Prior of each cause of the network, learned rates first where there are any. */
export function priorsOf({ release, keys }: Instance, rates: ReadonlyMap<string, number> | undefined): number[] {
  return keys.map(({ cause }) => {
    const { id, prior } = release.causes[cause]!
    return rates?.get(id) ?? prior
  })
}

/** The network with priors moved by the contexts; a removed cause keeps no chance. */
export function networkUnder(instance: Instance, prior: readonly number[], contexts: HeldContexts): Network {
  const { groups, effects } = instance
  return { prior: adjustPrior(prior, contextFactors(instance, contexts), groups), groups, effects }
}
