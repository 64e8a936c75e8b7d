import type { Evidence } from '../diagnosis/network.ts'
import type { Carried } from './attempts.ts'
import type { Circumstances, Held } from './circumstances.ts'
import type { Instance } from './instantiate.ts'
import type { ReleaseIndex } from './release-index.ts'

/** One item of evidence with the positions of the findings it comes from. */
export interface GatheredEvidence extends Evidence {
  findings: number[]
  /** Level that was stated; of a reading the likeliest one. */
  level: number
  isReading: boolean
}
/** Two findings that cannot both hold. */
export interface Contradiction {
  /** Positions of the two. */
  findings: [number, number]
  /** Id of what they disagree about. */
  about: string
}
/** What is known of circumstances: of the system, or of one device. */
export interface StatedContexts {
  /** Contexts that hold, each with the finding that said so. */
  contexts: Map<number, number>
  /** How surely a context holds that is not quite certain. */
  degrees: Map<number, number>
  /** Contexts known not to hold, each with the finding that said so. */
  excludedContexts: Map<number, number>
  /** How surely a context is known not to hold. */
  exclusionDegrees: Map<number, number>
}
/** What the findings come to: evidence, circumstances, dangers, and what was said that cannot count; circumstances are those of the system and of a device that was not named. */
export interface Gathered extends StatedContexts {
  instance: Instance
  index: ReleaseIndex
  evidence: GatheredEvidence[]
  /** Circumstances of each named device of which any is known. */
  onDevice: Map<string, StatedContexts>
  /** Checks already put to the caller, as "check" or "check device". */
  asked: Set<string>
  /** Results by check, as "check" or "check device" like `asked`. */
  answers: Map<string, Set<string>>
  isScreenComplete: boolean
  /** Whether anybody said anything of the screen. */
  isScreenMentioned: boolean
  dangers: { hazard: number; finding: number }[]
  /** Danger checks that signals call for before anything else, each with the finding that does. */
  askFirst: Map<number, number>
  contradictions: Contradiction[]
  /** Remedies that were carried out, by remedy and device: what they remove is there the less. */
  carried: readonly Carried[]
  /** Remedies after which the trouble went and came back. */
  cameBack: readonly Carried[]
  /** Positions of findings that say nothing of the present state, or that a later or better reading replaces. */
  unused: number[]
  /** Conditions that stand, with their effect in the instance. */
  present: { condition: number; device?: string; effect: number }[]
  /** Conditions that stood until an answer said that they no longer do, with what reported them and the answers. */
  cleared: { condition: number; device?: string; effect: number; findings: number[]; by: number[] }[]
}

export const nothingStated = (): StatedContexts => ({
  contexts: new Map(),
  degrees: new Map(),
  excludedContexts: new Map(),
  exclusionDegrees: new Map(),
})
const NOTHING: StatedContexts = nothingStated()

/** Where it is kept what is known of a context: with the device that it is asked for, where it is one of a device. */
export function statedOf(known: Gathered, context: number, device?: string): StatedContexts {
  if (device === undefined || known.instance.release.contexts[context]!.isPerDevice !== true) return known
  return known.onDevice.get(device) ?? NOTHING
}

/** How surely each context that was spoken of holds: from 1, it does, to -1, it does not. */
export const degreesOf = ({ contexts, degrees, excludedContexts, exclusionDegrees }: StatedContexts): Circumstances =>
  new Map([
    ...[...excludedContexts.keys()].map((context) => [context, -(exclusionDegrees.get(context) ?? 1)] as const),
    ...[...contexts.keys()].map((context) => [context, degrees.get(context) ?? 1] as const),
  ])

/**
 * Circumstances as they stand for each device.
 *
 * @param all - of the system, and of a device that was not named
 * @param onDevice - of named devices alone
 */
export function heldFrom(
  { release }: Instance,
  all: Circumstances,
  onDevice: ReadonlyMap<string, Circumstances>,
): Held {
  const isOfSystem = ([context]: readonly [number, number]) => release.contexts[context]!.isPerDevice !== true
  const ofSystem = [...all].every(isOfSystem) ? all : new Map([...all].filter(isOfSystem))
  const own = new Map([...onDevice].map(([device, stated]) => [device, new Map([...ofSystem, ...stated])] as const))
  return {
    isEmpty: all.size === 0 && own.size === 0,
    isShared: all === ofSystem && own.size === 0,
    of: (device) => (device === undefined ? all : (own.get(device) ?? ofSystem)),
  }
}

/** Contexts that were spoken of, with how surely each holds or does not, as they stand for each device. */
export const circumstancesOf = (known: Gathered): Held =>
  heldFrom(
    known.instance,
    degreesOf(known),
    new Map([...known.onDevice].map(([device, stated]) => [device, degreesOf(stated)])),
  )

/** Only what holds at least so surely opens a gate. Judgement. */
export const SURELY = 0.95
/** Whether a context holds as surely as a safety condition must. */
export function holdsSurely(known: Gathered, context: number, device?: string): boolean {
  const { contexts, degrees } = statedOf(known, context, device)
  return contexts.has(context) && (degrees.get(context) ?? 1) >= SURELY
}

/** Whether a context does not hold as surely as one must hold: a doubtful denial settles nothing. */
export function isRuledOut(known: Gathered, context: number, device?: string): boolean {
  const { excludedContexts, exclusionDegrees } = statedOf(known, context, device)
  return excludedContexts.has(context) && (exclusionDegrees.get(context) ?? 1) >= SURELY
}

/** What a denial leaves of the odds of a context: (1 - r) / r; nothing when it is certain, all when it is worth nothing. */
export function leftOfDenied(known: Gathered, context: number, device?: string): number {
  const { excludedContexts, exclusionDegrees } = statedOf(known, context, device)
  const degree = exclusionDegrees.get(context) ?? 1
  return excludedContexts.has(context) ? (1 - degree) / degree : 1
}

/** A check on a device has its own name in `asked`. */
export function askedKey(check: number, device: string | undefined): string {
  return device === undefined ? `${check}` : `${check} ${device}`
}

/** Questions that what stands or stood, or an alarm among the signals, calls for before anything else; danger checks as a rule. */
export function dangersToRuleOut({ instance, present, cleared, askFirst }: Gathered): Set<number> {
  const { conditions } = instance.release
  const reported = [...present, ...cleared]
  return new Set([...askFirst.keys(), ...reported.flatMap(({ condition }) => conditions[condition]!.askFirst ?? [])])
}

/** Evidence by where it comes from: what a fully read display does not show, and what somebody said or measured. */
export function bySource({ evidence }: Gathered): { silent: GatheredEvidence[]; given: GatheredEvidence[] } {
  return {
    silent: evidence.filter(({ findings }) => findings.length === 0),
    given: evidence.filter(({ findings }) => findings.length > 0),
  }
}
