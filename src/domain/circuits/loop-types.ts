import type { Step, Warning } from '../quantities/derivation.ts'
import type { Interval } from './interval.ts'

/**
 * How a supervised loop is wired. Which state gives alarm, tamper or trouble is a matter of programming.
 * none: contact alone; single: one part, in series with a closed contact or at the far end across an open one;
 * double: a part for the end and one for the contact; triple: a third across the fault contact.
 */
export const LOOP_SCHEMES = ['none', 'single', 'double-series', 'double-parallel', 'triple'] as const
export type LoopScheme = (typeof LOOP_SCHEMES)[number]
export type LoopState = 'short' | 'normal' | 'alarm' | 'fault' | 'alarm-and-fault' | 'open'

export interface LoopInput {
  scheme: LoopScheme
  contact: 'normally-closed' | 'normally-open'
  endOfLineOhm?: number
  /** Part across or in series with the contact; double and triple only. */
  alarmOhm?: number
  /** Part across the fault contact; triple only. */
  faultOhm?: number
  toleranceFraction?: number
  /** Wire there and back with splices. */
  wireOhm?: number
  /** All closed contacts of the loop together. */
  contactOhm?: number
  /** Leak across the pair; none when left out. */
  leakageOhm?: number
  supplyV?: number
  supplyToleranceFraction?: number
  pullUpOhm?: number
  pullUpToleranceFraction?: number
  /** Edges between states in ohm, ascending; geometric means when left out. */
  thresholdsOhm?: readonly number[]
  measured?: { value: number; unit: 'V' | 'Ohm'; boundAbsolute: number }
}
export interface StateRange {
  state: LoopState
  /** What the scheme makes of it. */
  meaning: string
  ohm: Interval
  voltage?: Interval
}
/** Between two states that follow each other by resistance. */
export interface Boundary {
  below: LoopState
  above: LoopState
  thresholdOhm: number
  /** Smaller of the two ratios between a state's end and the threshold; 1 or less says that they are not apart. */
  ratioMargin: number
}
export interface LoopAnalysis {
  states: StateRange[]
  boundaries: Boundary[]
  thresholdsBy: 'given' | 'geometric-mean'
  /** Most series resistance that leaves the normal state normal. */
  largestSeriesOhm?: number
  /** Least leakage that leaves the normal state normal, and that does not hide an alarm. */
  smallestLeakageOhm?: number
  alarmMaskedBelowOhm?: number
  classification?: {
    ohm: Interval
    /** Every state that the intervals allow. */
    possible: LoopState[]
    verdict: 'clear' | 'cannot-tell' | 'between-states'
    text: string
  }
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}
