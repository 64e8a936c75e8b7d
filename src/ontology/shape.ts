import { z } from 'zod'
import { AffectsSchema } from './affects-shape.ts'
import { CheckSchema } from './check-shape.ts'
import type { CodeMap, Crosswalk } from './crosswalk.ts'
import { AnswerSchema, follows, followsTrial, goesWith, onlyWith } from './follows-shape.ts'
import { PartClassSchema } from './part-class-shape.ts'
import type { ProtectionWords, SilenceWords } from './protection-shape.ts'
import { ReadingSchema } from './reading-shape.ts'
import {
  CauseId,
  CheckId,
  ConditionId,
  ContextId,
  common,
  DISTURBS,
  FAMILIES,
  FactorSchema,
  FamilyId,
  HazardId,
  MinutesSchema,
  Name,
  PartClassId,
  PLACES,
  ProbabilitySchema,
  practised,
  RemedyId,
  TextSchema,
  WHO,
} from './shape-basics.ts'

export { CheckSchema } from './check-shape.ts'
export {
  FitSchema,
  PartClassSchema,
  SALE_KINDS,
  SALE_REGIONS,
  SaleNoteSchema,
  SubstituteSchema,
} from './part-class-shape.ts'
export { READING_UNITS, type ReadingQuantity, ReadingSchema } from './reading-shape.ts'
export {
  DISTURBS,
  DistributionSchema,
  FAMILIES,
  KINDS,
  type Kind,
  PLACES,
  ProbabilitySchema,
  SENSES,
  TextSchema,
  WHO,
} from './shape-basics.ts'

/**
 * Shape of the ontology's source: what people edit under `ontology/source`.
 * Every number carries its basis; every text is keyed by language, en-US first.
 */

/** A top concept: what a part of the system has in common. */
export const FamilySchema = z.strictObject({ id: FamilyId, ...common })

export const ConditionSchema = z.strictObject({
  id: ConditionId,
  ...common,
  family: z.enum(FAMILIES),
  nature: z.enum(['fault', 'tamper', 'masked', 'disabled', 'state']),
  severity: z.enum(['life-safety', 'security-lost', 'degraded', 'nuisance']),
  latch: z.enum(['clears-itself', 'stays-in-memory', 'needs-reset']),
  scope: z.enum(['system', 'device']).default('system'),
  leak: ProbabilitySchema,
  /** False when a display never shows it and only a person reports it: a complete screen then says nothing of it. */
  onDisplay: z.boolean().default(true),
  /** What still works and what does not while this stands, in words for the owner. */
  protection: TextSchema,
  affects: AffectsSchema.optional(),
  /** How the item clears once its cause is gone. */
  clears: TextSchema,
  /** Questions that come before anything else while it stands: danger checks as a rule. */
  askFirst: z.array(CheckId).min(1).optional(),
  ...follows,
  /** Why it has fewer than three causes. */
  fewCausesBecause: z.string().min(1).optional(),
  /** Pairs of its causes that no check in this ontology tells apart, and why that is so. */
  inseparable: z.array(z.strictObject({ causes: z.tuple([CauseId, CauseId]), reason: z.string().min(1) })).default([]),
})

export const CauseSchema = z.strictObject({
  id: CauseId,
  ...common,
  family: z.enum(FAMILIES),
  scope: z.enum(['system', 'device']).default('system'),
  /** Probability per support call of a system this cause can occur in. */
  baseRate: ProbabilitySchema,
  /** Causes of one group exclude each other. */
  group: Name.optional(),
  /** Circumstances in which the cause cannot occur. */
  excludedBy: z.array(ContextId).default([]),
  /** q: probability that this cause alone shows the condition, background excluded. */
  shows: z.array(z.strictObject({ condition: ConditionId, q: ProbabilitySchema })),
  /** Causes that this one brings about if it lasts; a part fitted before it is cured is wasted. */
  rootOf: z.array(CauseId).default([]),
  /** What becomes of a new part while this cause still stands. */
  again: z.strictObject({ say: TextSchema, ...practised }).optional(),
  /** What is still to be done once the item has gone, because what let this cause happen may stay; not where a context of `unless` holds. */
  afterwards: z.strictObject({ say: TextSchema, unless: z.array(ContextId).default([]), ...practised }).optional(),
  /** Whom to turn to when no remedy in this ontology applies. */
  escalation: TextSchema.optional(),
  /** True for "something else in this family". */
  other: z.boolean().default(false),
})

export const ContextSchema = z.strictObject({
  id: ContextId,
  ...common,
  /** Contexts of one dimension exclude each other. */
  dimension: Name.optional(),
  /** One for each device, or one of the system; of the system where it is left out, as always before 0.6.0. */
  scope: z.enum(['system', 'device']).optional(),
  /** How often this holds when nothing is known. */
  share: ProbabilitySchema,
  ...follows,
  /** Factors on the prior odds of causes while this holds. */
  shifts: z.array(z.strictObject({ cause: CauseId, factor: FactorSchema })).default([]),
  /** What the person at the site can do so that it no longer stands in the way of a step; nobody can where left out. */
  lift: TextSchema.optional(),
})

export const RemedySchema = z.strictObject({
  id: RemedyId,
  ...common,
  who: z.enum(WHO),
  minutes: MinutesSchema,
  cost: z.enum(['none', 'low', 'medium', 'high', 'visit']),
  tools: z.array(Name).default([]),
  hazards: z.array(HazardId).default([]),
  place: z.enum(PLACES),
  disturbs: z.array(z.enum(DISTURBS)).default([]),
  requires: z.array(AnswerSchema).default([]),
  ...goesWith,
  onlyWith,
  lowersSecurity: z.boolean().default(false),
  fixes: z.array(z.strictObject({ cause: CauseId, probability: ProbabilitySchema })).min(1),
  /** The danger that shows when what it cured came back. Absent before 0.7.0. */
  danger: HazardId.optional(),
  follows: followsTrial,
  steps: z.array(TextSchema).min(1),
  /** What to expect while it clears, with times. */
  expect: TextSchema,
  /** How to confirm that it worked. */
  confirm: TextSchema,
  partClasses: z.array(PartClassId).default([]),
})

export const HazardSchema = z.strictObject({
  id: HazardId,
  ...common,
  /** Shown before a step that carries this hazard. */
  caution: TextSchema,
  /** What to do when the hazard is real now. */
  act: TextSchema.optional(),
  /** Circumstances that forbid a step carrying this hazard to anyone but a technician. */
  stopIf: z.array(ContextId).default([]),
  basis: z.enum(['published', 'judgement', 'practice']),
  source: z.string().optional(),
})

/** What must be known before a step of some kind may be offered to anyone but a technician. */
export const GateSchema = z.strictObject({
  id: Name,
  disturbs: z.array(z.enum(DISTURBS)).min(1),
  /** Only steps at this place; any place when left out. */
  place: z.enum(PLACES).optional(),
  /** One of these must hold. */
  needs: z.array(ContextId).min(1),
  /** Asked while none of the dimension's contexts is known. */
  ask: CheckId,
  reason: TextSchema,
  /** What the person at the site can do so that it opens after all; nobody can where left out. */
  lift: TextSchema.optional(),
})

/** What is settled at the start of a call, before any probability, in order. */
export const PrologueStepSchema = z.strictObject({
  id: Name,
  say: TextSchema,
  /** Done when these are answered. */
  checks: z.array(CheckId).default([]),
  /** Done when every danger sign has been asked about. */
  asksDangers: z.boolean().default(false),
  /** Done when this limit of a request says so. */
  limit: z.enum(['ownerVerified']).optional(),
  skipWhen: TextSchema,
})

export const LevelsSchema = z.strictObject({
  baseRate: z.record(Name, z.number().gt(0).lt(1)),
  link: z.record(Name, z.number().gt(0).max(1)),
  basis: z.literal('judgement'),
})

/** What a check or remedy may need. */
export const ToolSchema = z.strictObject({
  id: Name,
  label: TextSchema,
  /** Found in nearly every home or shop: presumed unless a request says that it is lacking. Judgement. */
  atHand: z.boolean(),
})

export const SourceEntrySchema = z.strictObject({
  id: Name,
  title: z.string(),
  access: z.enum(['read', 'reported', 'memory', 'practice', 'own-derivation']),
  note: z.string().optional(),
})

/** Kind -> shape of one concept. */
export const CONCEPT_SCHEMAS = {
  family: FamilySchema,
  condition: ConditionSchema,
  cause: CauseSchema,
  check: CheckSchema,
  reading: ReadingSchema,
  context: ContextSchema,
  remedy: RemedySchema,
  'part-class': PartClassSchema,
  hazard: HazardSchema,
} as const

export type Text = z.infer<typeof TextSchema>
export type Probability = z.infer<typeof ProbabilitySchema>
export type Family = z.infer<typeof FamilySchema>
export type Condition = z.infer<typeof ConditionSchema>
export type Cause = z.infer<typeof CauseSchema>
export type Context = z.infer<typeof ContextSchema>
export type Check = z.infer<typeof CheckSchema>
export type Reading = z.infer<typeof ReadingSchema>
export type Remedy = z.infer<typeof RemedySchema>
export type PartClass = z.infer<typeof PartClassSchema>
export type Hazard = z.infer<typeof HazardSchema>
export type Gate = z.infer<typeof GateSchema>
export type PrologueStep = z.infer<typeof PrologueStepSchema>
export type Tool = z.infer<typeof ToolSchema>
export type Levels = z.infer<typeof LevelsSchema>
export type SourceEntry = z.infer<typeof SourceEntrySchema>

/** The whole ontology in memory, each kind sorted by id. */
export interface Ontology {
  family: Family[]
  condition: Condition[]
  cause: Cause[]
  check: Check[]
  reading: Reading[]
  context: Context[]
  remedy: Remedy[]
  'part-class': PartClass[]
  hazard: Hazard[]
  gates: Gate[]
  prologue: PrologueStep[]
  /** Absent before 0.4.0, as is `silence`. */
  protection?: ProtectionWords
  silence?: SilenceWords
  /** Absent before 0.5.0. */
  tools?: Tool[]
  levels: Levels
  sources: SourceEntry[]
  crosswalks: Crosswalk[]
  codeMaps: CodeMap[]
}
