import type { Evidence } from '../diagnosis/network.ts'
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
/** What the findings come to: evidence, circumstances, dangers, and what was said that cannot count. */
export interface Gathered {
  instance: Instance
  index: ReleaseIndex
  evidence: GatheredEvidence[]
  /** Contexts that hold, each with the finding that said so. */
  contexts: Map<number, number>
  /** Contexts known not to hold, each with the finding that said so. */
  excludedContexts: Map<number, number>
  /** Checks already put to the caller, as "check" or "check device". */
  asked: Set<string>
  /** Results by check, as "check" or "check device" like `asked`. */
  answers: Map<string, Set<string>>
  isScreenComplete: boolean
  /** Whether anybody said anything of the screen. */
  isScreenMentioned: boolean
  dangers: { hazard: number; finding: number }[]
  contradictions: Contradiction[]
  /** Positions of findings that say nothing of the present state, or that a later or better reading replaces. */
  unused: number[]
  /** Conditions that stand, with their effect in the instance. */
  present: { condition: number; device?: string; effect: number }[]
}

/** A check on a device has its own name in `asked`. */
export function askedKey(check: number, device: string | undefined): string {
  return device === undefined ? `${check}` : `${check} ${device}`
}
