import type { ConditionFinding } from '../domain/findings/finding.ts'
import type { SignalEvent } from '../domain/signals/signal-event.ts'
import { type StandingSignal, standingSignals } from '../domain/signals/standing.ts'
import type { CrosswalkCode } from '../ontology/crosswalk.ts'
import type { Release } from '../ontology/release.ts'
import { findingOfSignal } from './signal-findings.ts'

/** A finding as a request to diagnose takes it. */
export interface SignalFinding extends Pick<ConditionFinding, 'kind' | 'condition' | 'state' | 'device'> {
  observedAt?: string
  /** The code and the account that it rests on. */
  source: string
}

/** Why a signal became no finding. */
export const UNMAPPED_REASONS = {
  'no-trouble': 'reports no trouble of the system',
  alarm: 'reports an alarm and no trouble of the system: first make sure that everybody is safe',
  'unknown-code': 'the tables do not have this code',
  'no-equivalent': 'no condition of the ontology answers to this code',
  'several-conditions': 'the code does not say which of several conditions it stands for, or is only related to one',
  'part-restored': 'the code covers a part of the condition, and another part may still stand',
  'over-the-limit': 'more findings or devices than one diagnosis takes',
} as const
export type UnmappedReason = keyof typeof UNMAPPED_REASONS

export interface UnmappedSignal {
  scheme: string
  code: string
  title?: string
  /** Danger check that an alarm calls for before anything else. */
  ask?: string
  state: 'present' | 'absent'
  area?: string
  address?: SignalEvent['address']
  account?: string
  /** Heading of the block that an unknown code stands in. */
  block?: string
  reason: UnmappedReason
  detail: string
  /** Conditions that the crosswalk names for the code. */
  candidates: string[]
  lines: number[]
}

/** An event with the line it came from. */
export interface PlacedEvent {
  line: number
  event: SignalEvent
}
export interface FindingLimits {
  findings: number
  devices: number
}

/** Reports of what people did or tried out, whatever else the crosswalk says of them. */
const NO_TROUBLE = ['open-close', 'test']

class Codes {
  readonly release: Release

  constructor(release: Release) {
    this.release = release
  }

  find(scheme: string, code: string): CrosswalkCode | undefined {
    return this.release.ontology.crosswalks
      .find((crosswalk) => crosswalk.scheme === scheme)
      ?.codes.find((entry) => entry.code === code)
  }
}

type Outcome = { condition: string } | { reason: UnmappedReason }

const relationTo = (entry: CrosswalkCode, condition: string) =>
  entry.mappings.find(({ concept }) => concept === condition)?.relation

/** The condition of a code that the tables have. */
function outcomeOf(codes: Codes, entry: CrosswalkCode, { scheme, code, state }: StandingSignal): Outcome {
  if (NO_TROUBLE.includes(entry.kind)) return { reason: 'no-trouble' }
  if (entry.ask !== undefined && entry.mappings.length === 0) return { reason: 'alarm' }
  if (entry.mappings.length === 0) return { reason: entry.trouble ? 'no-equivalent' : 'no-trouble' }
  const finding = findingOfSignal(codes.release, { scheme, code, state }, 0)
  if (finding.kind !== 'condition') return { reason: 'several-conditions' }
  // One circuit is good again; the condition is of all circuits.
  if (state === 'absent' && relationTo(entry, finding.condition) === 'narrower') return { reason: 'part-restored' }
  return { condition: finding.condition }
}

/** An unknown code is read as "not specified" of its block, if the heading stands for just one condition. */
function outcomeOfUnknown(codes: Codes, signal: StandingSignal, isStrict: boolean): Outcome {
  const { block } = signal.event
  const heading = block === undefined ? undefined : codes.find(signal.scheme, block)
  if (isStrict || !heading?.trouble) return { reason: 'unknown-code' }
  const outcome = outcomeOf(codes, heading, { ...signal, code: heading.code })
  const isEquivalent = 'condition' in outcome && relationTo(heading, outcome.condition) === 'equivalent'
  return isEquivalent ? outcome : { reason: 'unknown-code' }
}

/** Name of the place that a signal speaks of; none for a user, who is not where the trouble is. */
function deviceOf({ area, event: { address } }: StandingSignal): string | undefined {
  if (address === undefined || address.of === 'user') return undefined
  const number = address.number.replace(/^0+/, '')
  return area === '' ? `${address.of} ${number}` : `area ${area} ${address.of} ${number}`
}

function isPerDevice({ compiled }: Release, condition: string): boolean {
  const found = compiled.conditions.find(({ id }) => id === condition)
  return found !== undefined && compiled.effects[found.effect]!.isPerDevice
}

/** Longest source that a finding may state [characters]. */
const MAX_SOURCE = 64

function findingOf(codes: Codes, signal: StandingSignal, condition: string): SignalFinding {
  const { at, account } = signal.event
  const device = isPerDevice(codes.release, condition) ? deviceOf(signal) : undefined
  const source = `${signal.scheme} ${signal.code}${account === undefined ? '' : `, account ${account}`}`
  return {
    kind: 'condition',
    condition,
    state: signal.state,
    ...(device === undefined ? {} : { device }),
    ...(at === undefined ? {} : { observedAt: at }),
    source: source.slice(0, MAX_SOURCE),
  }
}

function unmappedOf(
  entry: CrosswalkCode | undefined,
  { scheme, code, state, area, event, from }: StandingSignal,
  reason: UnmappedReason,
  events: readonly PlacedEvent[],
): UnmappedSignal {
  const { address, account, block } = event
  return {
    scheme,
    code,
    ...(entry === undefined ? {} : { title: entry.title['en-US'] }),
    state,
    ...(area === '' ? {} : { area }),
    ...(address === undefined ? {} : { address }),
    ...(account === undefined ? {} : { account }),
    ...(block === undefined ? {} : { block }),
    reason,
    detail: entry?.noEquivalent ?? UNMAPPED_REASONS[reason],
    ...(entry?.ask === undefined || state === 'absent' ? {} : { ask: entry.ask }),
    candidates: entry?.mappings.map(({ concept }) => concept) ?? [],
    lines: [...new Set(from.map((at) => events[at]!.line))],
  }
}

/** Facts by condition, device and account: several signals of one fact count once, and one that stands outweighs one that ended. */
class Facts {
  readonly #facts = new Map<string, SignalFinding>()
  readonly #devices = new Set<string>()
  readonly #limits: FindingLimits

  constructor(limits: FindingLimits) {
    this.#limits = limits
  }

  /** @returns false where the fact would be one too many for a diagnosis */
  add(finding: SignalFinding, account: string | undefined): boolean {
    const { condition, device } = finding
    const key = JSON.stringify([condition, device ?? '', account ?? ''])
    const known = this.#facts.get(key)
    if (known === undefined && !this.#hasRoom(device)) return false
    if (device !== undefined) this.#devices.add(device)
    if (known === undefined || (known.state === 'absent' && finding.state === 'present')) this.#facts.set(key, finding)
    return true
  }

  #hasRoom(device: string | undefined): boolean {
    if (this.#facts.size >= this.#limits.findings) return false
    return device === undefined || this.#devices.has(device) || this.#devices.size < this.#limits.devices
  }

  all(): SignalFinding[] {
    return [...this.#facts.values()]
  }
}

/**
 * What signals say of the system now, as findings; what they do not say is named with the reason.
 * Nothing is dropped in silence: every code at its address is either behind a finding or among the unmapped.
 */
export function findingsFromSignals(
  release: Release,
  events: readonly PlacedEvent[],
  isStrict: boolean,
  limits: FindingLimits,
): { findings: SignalFinding[]; unmapped: UnmappedSignal[] } {
  const codes = new Codes(release)
  const facts = new Facts(limits)
  const unmapped: UnmappedSignal[] = []
  const restoralOf = (scheme: string, code: string) => codes.find(scheme, code)?.restoralOf
  const signals = standingSignals(
    events.map(({ event }) => event),
    restoralOf,
  )
  for (const signal of signals) {
    const entry = codes.find(signal.scheme, signal.code)
    const outcome = entry ? outcomeOf(codes, entry, signal) : outcomeOfUnknown(codes, signal, isStrict)
    const isAdded =
      'condition' in outcome && facts.add(findingOf(codes, signal, outcome.condition), signal.event.account)
    const reason = 'reason' in outcome ? outcome.reason : 'over-the-limit'
    if (!isAdded) unmapped.push(unmappedOf(entry, signal, reason, events))
  }
  return { findings: facts.all(), unmapped }
}
