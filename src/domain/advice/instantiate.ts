import { adjustPrior } from '../diagnosis/adjust-prior.ts'
import type { Effect, Network } from '../diagnosis/network.ts'
import { type Held, HeldOdds } from './circumstances.ts'
import type { CompiledEffect, CompiledRelease } from './compiled.ts'

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
  keys: readonly CauseKey[]
  /** Prior of each as the release has it. */
  priors: readonly number[]
  /** Where a cause of the release stands in the network: itself and its copies for devices. */
  copiesOf: (cause: number) => readonly number[]
  /** Members of each exclusive group. */
  groups: readonly (readonly number[])[]
  effects: Effect[]
  /** Index in `effects` of an effect of the release, for a device when it has one. */
  effectOf: (effect: number, device?: string) => number
}

/** What depends on the number of devices and not on their names. */
interface Layout {
  /** Where the causes of the release that each device has a copy of stand. */
  perDevice: readonly number[]
  /** Causes of the release, which come first in every network. */
  keys: readonly CauseKey[]
  priors: readonly number[]
  copiesOf: (cause: number) => readonly number[]
  groups: readonly (readonly number[])[]
  effects: readonly Effect[]
  /** Index of a per-device effect among those of its device; nothing for another. */
  rankOfEffect: ReadonlyMap<number, number>
}

/** Layouts are kept for so many devices; those of more take more memory than time. */
const KEPT_DEVICES = 8
const kept = new WeakMap<CompiledRelease, Layout[]>()

function layoutFor(release: CompiledRelease, devices: number): Layout {
  if (devices > KEPT_DEVICES) return layOut(release, devices)
  const known = kept.get(release) ?? []
  kept.set(release, known)
  known[devices] ??= layOut(release, devices)
  return known[devices]
}

function positionsOf(list: readonly { isPerDevice: boolean }[]): number[] {
  return list.flatMap(({ isPerDevice }, index) => (isPerDevice ? [index] : []))
}

/** An effect of the system with each of its per-device causes on every device. */
function ofAllCopies(effect: CompiledEffect, copiesOf: Layout['copiesOf']): Effect {
  if (effect.links.every(({ cause }) => copiesOf(cause).length === 1)) return effect
  const links = effect.links.flatMap(({ cause, levels }) => copiesOf(cause).map((copy) => ({ cause: copy, levels })))
  return { leak: effect.leak, links: links.sort((a, b) => a.cause - b.cause) }
}

/** Copies the per-device causes and effects for each device; what belongs to the system is shared. */
function layOut(release: CompiledRelease, devices: number): Layout {
  const perDevice = positionsOf(release.causes)
  const rankOf = new Map(perDevice.map((cause, position) => [cause, position]))
  const causeAt = (cause: number, device: number) => {
    const rank = rankOf.get(cause)
    return rank === undefined ? cause : release.causes.length + device * perDevice.length + rank
  }
  const numbers = Array.from({ length: devices }, (_, device) => device)
  const copies = release.causes.map((_, cause) =>
    rankOf.has(cause) ? [cause, ...numbers.map((device) => causeAt(cause, device))] : [cause],
  )
  const copiesOf = (cause: number) => copies[cause]!
  const perDeviceEffects = positionsOf(release.effects)
  const effects: Effect[] =
    devices === 0
      ? release.effects.slice()
      : release.effects.map((effect) => (effect.isPerDevice ? effect : ofAllCopies(effect, copiesOf)))
  for (const device of numbers)
    for (const index of perDeviceEffects) {
      const { leak, links } = release.effects[index]!
      effects.push({ leak, links: links.map(({ cause, levels }) => ({ cause: causeAt(cause, device), levels })) })
    }
  const rankOfEffect = new Map(perDeviceEffects.map((effect, position) => [effect, position]))
  const keys = release.causes.map((_, cause) => ({ cause }))
  const priors = [...release.causes, ...numbers.flatMap(() => perDevice.map((cause) => release.causes[cause]!))].map(
    ({ prior }) => prior,
  )
  const groups = exclusiveGroups(release, numbers, perDevice)
  return { perDevice, keys, priors, copiesOf, groups, effects, rankOfEffect }
}

/** The release's network for devices that are told apart by their names. */
export function instantiate(release: CompiledRelease, devices: readonly string[], hasUnnamedDevice: boolean): Instance {
  const layout = layoutFor(release, devices.length)
  const { perDevice, priors, copiesOf, groups, effects, rankOfEffect } = layout
  const ofDevices = devices.flatMap((device) => perDevice.map((cause) => ({ cause, device })))
  const keys = devices.length === 0 ? layout.keys : [...layout.keys, ...ofDevices]
  const numberOf = new Map(devices.map((device, number) => [device, number]))
  const effectOf = (effect: number, device?: string) => {
    const rank = rankOfEffect.get(effect)
    const number = device === undefined ? undefined : numberOf.get(device)
    if (rank === undefined || number === undefined) return effect
    return release.effects.length + number * rankOfEffect.size + rank
  }
  const own = effects.slice()
  return { release, devices, hasUnnamedDevice, keys, priors, copiesOf, groups, effects: own, effectOf }
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
function exclusiveGroups(
  { causes }: CompiledRelease,
  devices: readonly number[],
  perDevice: readonly number[],
): number[][] {
  const groups = new Map<string, number[]>()
  const add = (cause: number, index: number, device: number | '') => {
    const { group } = causes[cause]!
    if (group === undefined) return
    const name = `${group} ${device}`
    groups.set(name, [...(groups.get(name) ?? []), index])
  }
  causes.forEach((_, cause) => {
    add(cause, cause, '')
  })
  for (const device of devices)
    perDevice.forEach((cause, rank) => {
      add(cause, causes.length + device * perDevice.length + rank, device)
    })
  return [...groups.values()]
}

/** Contexts together never move the odds of a cause further than this either way. Judgement. */
const FACTOR_LIMIT = 50

/** A factor on prior odds within the limit; 0 removes a cause. */
export const limited = (factor: number): number =>
  factor === 0 ? 0 : Math.min(Math.max(factor, 1 / FACTOR_LIMIT), FACTOR_LIMIT)

/** Prior odds factor of each cause of the network under the given circumstances; 0 removes it. */
export function contextFactors({ release, keys, hasUnnamedDevice }: Instance, held: Held): number[] {
  const odds = new HeldOdds(release, held)
  const shared = held.isShared ? odds.of(undefined) : undefined
  return keys.map(({ cause, device }) => {
    const isNowhere = device === undefined && !hasUnnamedDevice && release.causes[cause]!.isPerDevice
    return isNowhere ? 0 : limited((shared ?? odds.of(device))[cause]!)
  })
}

/** Prior of each cause of the network, learned rates first where there are any. */
export function priorsOf(
  { release, keys, priors }: Instance,
  rates: ReadonlyMap<string, number> | undefined,
): readonly number[] {
  if (rates === undefined) return priors
  return keys.map(({ cause }, at) => rates.get(release.causes[cause]!.id) ?? priors[at]!)
}

const NONE = new Map<number, number>()
const NOTHING_HELD: Held = { isEmpty: true, isShared: true, of: () => NONE }

/** Priors while no circumstance is known, by priors and by whether an unnamed device is looked for. */
const plainPriors = [new WeakMap<readonly number[], number[]>(), new WeakMap<readonly number[], number[]>()] as const

/** The network while no circumstance is known; its priors are kept with those it is made from. */
export function plainNetwork(instance: Instance, prior: readonly number[]): Network {
  const { groups, effects, hasUnnamedDevice } = instance
  const known = plainPriors[hasUnnamedDevice ? 1 : 0]
  const plain = known.get(prior) ?? adjustPrior(prior, contextFactors(instance, NOTHING_HELD), groups)
  known.set(prior, plain)
  return { prior: plain, groups, effects }
}

/** The network with priors moved by the contexts; a removed cause keeps no chance. */
export function networkUnder(instance: Instance, prior: readonly number[], held: Held): Network {
  const { groups, effects } = instance
  return { prior: adjustPrior(prior, contextFactors(instance, held), groups), groups, effects }
}
