import type { TriedFinding } from '../findings/finding.ts'
/**
 * The form of a release that the cores read: ids, numbers and structure, no text.
 * Causes, effects, contexts and the rest are named by their index in the arrays here.
 */

export type Who = 'caller' | 'handy' | 'technician'

export interface CompiledCause {
  id: string
  family: string
  /** Probability per support call, before any evidence. */
  prior: number
  /** One instance for each device rather than one for the system. */
  isPerDevice: boolean
  group?: string
  excludedBy: number[]
  rootOf: number[]
  isOther: boolean
}

/** A lower node: a condition, a yes-no observation or one side of a reading, all noisy-MAX with leak. */
export interface CompiledEffect {
  /** Id of the condition, check or reading; a reading's side follows after "#". */
  id: string
  isPerDevice: boolean
  /** Probability of each level with no cause present, lowest (healthy) first. */
  leak: number[]
  /** Each cause with the probability of each level it brings about alone. */
  links: { cause: number; levels: number[] }[]
}

/** Circumstances that follow, by index: those that hold and those that do not. */
export interface Follows {
  implies?: readonly number[]
  rulesOut?: readonly number[]
}

/** With what follows while it stands. */
export interface CompiledCondition extends Follows {
  id: string
  family: string
  severity: 'life-safety' | 'security-lost' | 'degraded' | 'nuisance'
  isOnDisplay: boolean
  effect: number
  /** Questions that come before anything else while it stands: danger checks as a rule. */
  askFirst?: number[]
}

/** With what follows while it holds. */
export interface CompiledContext extends Follows {
  id: string
  /** One for each device; the system's when left out. */
  isPerDevice?: boolean
  dimension?: string
  share: number
  shifts: { cause: number; factor: number }[]
  /** The person at the site can do something so that it no longer stands in the way. */
  isLiftable?: true
}

export interface CompiledReading {
  id: string
  /** One value for each device; the system's when left out. */
  isPerDevice?: boolean
  unit: string
  validLow: number
  validHigh: number
  meterPercent: number
  meterAbsolute: number
  /** Upper edges of all bands but the last, ascending. */
  edges: number[]
  bands: string[]
  healthy: number
  low?: number
  high?: number
}

export type CompiledModel =
  | { kind: 'observation'; effect: number /** Result id of each level, healthy first. */; levels: string[] }
  | { kind: 'reading'; reading: number }
  | { kind: 'applicability'; sets: { result: string; context: number }[] }
  | { kind: 'reveals'; complete: string }
  | { kind: 'danger'; hazard: number; sign: string }

/** A check with a result of it. */
export interface CompiledAnswer {
  check: number
  result: string
}

/** What a step does not go with: circumstances that hold, conditions that stand, remedies that were carried out, answers that were given. */
export interface NotWith {
  contexts: readonly number[]
  conditions: readonly number[]
  remedies?: readonly number[]
  answers: readonly CompiledAnswer[]
}

export interface CompiledStep {
  id: string
  who: Who
  place: string
  minutes: number
  /** Minutes that pass by themselves, on top of those of attention. */
  waitMinutes: number
  tools: string[]
  hazards: number[]
  disturbs: string[]
  requires: CompiledAnswer[]
  /** One of these at least, beside all of `requires`. */
  requiresAny?: readonly CompiledAnswer[]
  notWith?: NotWith
  /** Leaves the building less protected; false when left out. */
  lowersSecurity?: boolean
}

export type Sense = 'hearing' | 'sight' | 'smell'

export interface CompiledCheck extends CompiledStep {
  /** What a person needs to answer it. */
  senses?: Sense[]
  isPerDevice: boolean
  /** Conditions of which it makes sense to ask; any while left out. */
  about?: number[]
  results: string[]
  /** Hazard of each result that is a sign of danger beside what it says otherwise. */
  dangers?: Record<string, number>
  /** Circumstances that follow from each result. */
  follows?: Readonly<Record<string, Follows>>
  /** Conditions that no longer stand once a result was given. */
  clears?: Readonly<Record<string, readonly number[]>>
  model: CompiledModel
}

export interface CompiledRemedy extends CompiledStep {
  cost: 'none' | 'low' | 'medium' | 'high' | 'visit'
  fixes: { cause: number; probability: number }[]
  partClasses: string[]
  /** Hazard of the danger that shows when what it cured came back. */
  danger?: number
  /** What follows once it was tried, by what came of it. */
  follows?: Readonly<Partial<Record<TriedFinding['result'], Follows>>>
  /** Planned only while one of these conditions stands. */
  onlyWith?: readonly number[]
}

export interface CompiledGate {
  id: string
  disturbs: string[]
  place?: string
  needs: number[]
  ask: number
  /** The person at the site can do something so that it opens after all. */
  isLiftable?: true
}

export interface CompiledRelease {
  version: string
  causes: CompiledCause[]
  effects: CompiledEffect[]
  conditions: CompiledCondition[]
  contexts: CompiledContext[]
  readings: CompiledReading[]
  checks: CompiledCheck[]
  remedies: CompiledRemedy[]
  hazards: { id: string; stopIf: number[] }[]
  gates: CompiledGate[]
  /** Tools that anybody is presumed to have; releases before 0.5.0 name none. */
  toolsAtHand?: readonly string[]
}
