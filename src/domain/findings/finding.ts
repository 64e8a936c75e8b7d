/** What is known: one record a fact, in the order it came to light. */
interface Common {
  /** Name of the device, zone or module the fact belongs to. */
  device?: string
  /** Probability that the fact is as stated; 1 when left out. */
  reliability?: number
  /** "earlier": was so once and is not known to be so now. */
  tense?: 'now' | 'earlier'
  /** Moment from which it no longer holds [ms since 1970]. */
  untilMs?: number
  /** Moment at which it was seen [ms since 1970]. */
  observedMs?: number
}
export interface ConditionFinding extends Common {
  kind: 'condition'
  condition: string
  state: 'present' | 'absent'
}
export interface AnswerFinding extends Common {
  kind: 'answer'
  check: string
  result: string
}
export interface ReadingFinding extends Common {
  kind: 'reading'
  reading: string
  /** In the unit of the reading. */
  value: number
  /** Largest error of the meter as its maker states it. */
  meter?: { percentOfReading: number; absolute: number }
}
export interface ContextFinding extends Common {
  kind: 'context'
  context: string
  state: 'holds' | 'does-not-hold'
}
/** Whether everything the display holds has been read; without it silence says nothing. */
export interface ScreenFinding extends Common {
  kind: 'screen'
  complete: boolean
}
/** What came of a remedy: nothing stands any more, it stood again after a while, or nothing changed. */
export const TRIED_RESULTS = ['cleared', 'came-back', 'no-change'] as const
/**
 * A remedy that was carried out before or during the call, and what came of it. With r the reliability and s the probability
 * that it removes a cause, it leaves the chance p of the cause at p (1 - r s), as odds p (1 - r s) / (1 - p + p r s): what is
 * removed goes to "absent", among causes that exclude each other to "none of them". So does one that cleared the trouble, and
 * the conditions that it clears are over unless they were seen later. One after which the trouble came back says nothing of
 * what is now: it did something.
 */
export interface TriedFinding extends Common {
  kind: 'tried'
  remedy: string
  result: (typeof TRIED_RESULTS)[number]
}
/** A signal whose code has no equivalent among the conditions: kept in its place, and said to be unused. */
export interface UnmappedFinding extends Common {
  kind: 'unmapped'
  /** Danger check that the signal calls for before anything else. */
  ask?: string
}
export type Finding =
  | ConditionFinding
  | AnswerFinding
  | ReadingFinding
  | ContextFinding
  | ScreenFinding
  | TriedFinding
  | UnmappedFinding

/** What the person at the site can and may do. */
export interface Limits {
  who: 'caller' | 'handy' | 'technician'
  /** Tools at hand, by the names the ontology uses. */
  tools: readonly string[]
  /** Tools that nearly everybody has and this person has not. */
  lackingTools?: readonly string[]
  /** Checks that take longer are not offered. */
  minutes?: number
  /** Moment of the call [ms since 1970]; without it nothing expires. */
  nowMs?: number
  /** That the caller may decide over the system has been made sure of. */
  isOwnerVerified?: boolean
  /** Senses that the caller lacks: what needs them is not asked, and an answer to it is not known. */
  lackingSenses?: readonly ('hearing' | 'sight' | 'smell')[]
  /** Questions to be put in one breath. */
  questionsAtOnce?: number
}

/** The answer that says nothing and is accepted for every check. */
export const DONT_KNOW = 'dont-know'
