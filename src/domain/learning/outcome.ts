/** How somebody came to hold a cause for confirmed. */
export const CONFIRMED_BY = ['check', 'repair', 'technician', 'said'] as const
export type ConfirmedBy = (typeof CONFIRMED_BY)[number]
export const CONCLUSIONS = ['confirmed', 'gone-by-itself', 'not-confirmed'] as const

export interface CauseAt {
  cause: string
  device?: string
}
/** How a call ended, as it was stored at its close. */
export interface Outcome {
  /** Milliseconds since 1970-01-01T00:00Z. */
  closedAt: number
  conclusion: (typeof CONCLUSIONS)[number]
  confirmed: readonly (CauseAt & { by: ConfirmedBy })[]
  /** The remedy after which the trouble was clear. */
  remedy?: string
  /** Devices that the engine kept apart, each with causes of its own. */
  devices: readonly string[]
  /** Whether it looked for causes of a device that nobody named. */
  hasUnnamedDevice: boolean
}

/** What learning must know of the causes; of a cause that it does not know it takes the word of the outcome. */
export interface CauseFacts {
  isPerDevice: boolean
  /** Causes of one group exclude each other. */
  group?: string
  /** Remedies that can remove it. */
  remedies: ReadonlySet<string>
}
export interface LearningFacts {
  causes: ReadonlyMap<string, CauseFacts>
  /** Every remedy known. */
  remedies: ReadonlySet<string>
}

/** Why a call, or a cause named in it, was not counted. */
export const REASONS = [
  'gone-by-itself',
  'not-confirmed',
  'nothing-named',
  'said',
  'repair-without-clearing',
  'excluding-each-other',
] as const
export type Reason = (typeof REASONS)[number]

/** A call as learning sees it. */
export interface Judged {
  /** Whether the call tells which causes there were. */
  isCounted: boolean
  counted: CauseAt[]
  /** Causes named without enough to count them. */
  claimed: CauseAt[]
  /** How many copies of the causes of devices the engine looked at. */
  devices: number
  reasons: Reason[]
}

const keyOf = ({ cause, device }: CauseAt) => `${cause} ${device ?? ''}`

/** Copies of the causes of devices in a call: one for each named device, else one where a device was spoken of at all. */
function copiesIn({ devices, hasUnnamedDevice, confirmed }: Outcome, { causes }: LearningFacts): number {
  const named = confirmed.flatMap(({ device }) => (device === undefined ? [] : [device]))
  const count = new Set([...devices, ...named]).size
  if (count > 0) return count
  return Number(hasUnnamedDevice || confirmed.some(({ cause }) => causes.get(cause)?.isPerDevice === true))
}

/** Why the confirmation of one cause does not count; undefined when it does. */
function reasonAgainst(entry: Outcome['confirmed'][number], outcome: Outcome, facts: LearningFacts) {
  if (entry.by === 'said') return 'said'
  if (entry.by !== 'repair') return undefined
  const { remedy } = outcome
  const cures = facts.causes.get(entry.cause)?.remedies
  const isCure = remedy !== undefined && (cures === undefined || !facts.remedies.has(remedy) || cures.has(remedy))
  return isCure ? undefined : 'repair-without-clearing'
}

/** Causes among these that exclude another one of these. */
function excludingEachOther(list: readonly CauseAt[], { causes }: LearningFacts): Set<string> {
  const groups = new Map<string, string[]>()
  for (const one of list) {
    const group = causes.get(one.cause)?.group
    if (group === undefined) continue
    const name = `${group} ${one.device ?? ''}`
    groups.set(name, [...(groups.get(name) ?? []), keyOf(one)])
  }
  return new Set([...groups.values()].filter((keys) => keys.length > 1).flat())
}

const causeAt = ({ cause, device }: CauseAt): CauseAt => (device === undefined ? { cause } : { cause, device })

function once<T extends CauseAt>(list: readonly T[]): T[] {
  const seen = new Set<string>()
  return list.filter((one) => !seen.has(keyOf(one)) && seen.add(keyOf(one)))
}

/**
 * Decides what of a closed call may teach a rate.
 *
 * A check and a technician's finding count. A repair counts when the remedy after which the trouble was clear is one
 * that can remove the cause: to fit what was suggested first and to close the call proves nothing, and would let the
 * engine confirm itself. The rule looks at what was done and never at what the engine had ranked first, for a rule that
 * did would count the engine's favourites less often than the rest. What was merely said never counts.
 * A call in which nothing counts is kept as one whose causes are unknown; it is not a call without causes.
 */
export function judgeOutcome(outcome: Outcome, facts: LearningFacts): Judged {
  const devices = copiesIn(outcome, facts)
  const nothing = { isCounted: false, counted: [], claimed: [], devices }
  if (outcome.conclusion !== 'confirmed') return { ...nothing, reasons: [outcome.conclusion] }
  if (outcome.confirmed.length === 0) return { ...nothing, reasons: ['nothing-named'] }
  const reasons: Reason[] = []
  // The best confirmation of a cause decides, whatever the order they were given in.
  const good = once(outcome.confirmed.filter((entry) => reasonAgainst(entry, outcome, facts) === undefined))
  const isGood = new Set(good.map(keyOf))
  const excluded = excludingEachOther(good, facts)
  for (const entry of once(outcome.confirmed.filter((one) => !isGood.has(keyOf(one)))))
    reasons.push(reasonAgainst(entry, outcome, facts)!)
  for (let left = excluded.size; left > 0; left--) reasons.push('excluding-each-other')
  const counted = good.filter((one) => !excluded.has(keyOf(one))).map(causeAt)
  const claimed = once(outcome.confirmed)
    .map(causeAt)
    .filter((one) => !counted.some((other) => keyOf(other) === keyOf(one)))
  return { isCounted: counted.length > 0, counted, claimed, devices, reasons }
}
