import { z } from 'zod'
import { FIT_RULES } from '../domain/parts/needs/spec.ts'
import { AffectsSchema } from './affects-shape.ts'
import type { CodeMap, Crosswalk } from './crosswalk.ts'
import type { ProtectionWords, SilenceWords } from './protection-shape.ts'

/**
 * Shape of the ontology's source: what people edit under `ontology/source`.
 * Every number carries its basis; every text is keyed by language, en-US first.
 */

export const KINDS = [
  'family',
  'condition',
  'cause',
  'check',
  'reading',
  'context',
  'remedy',
  'part-class',
  'hazard',
] as const
export type Kind = (typeof KINDS)[number]

export const FAMILIES = [
  'power',
  'storage-battery',
  'sounder-and-output',
  'communication',
  'clock-and-configuration',
  'loop-and-detector',
  'radio-device',
  'bus-and-module',
  'tamper-and-enclosure',
  'life-safety-and-environment',
  'processor-and-service',
] as const

const slug = '[a-z0-9]+(?:-[a-z0-9]+)*'
/** An id; one of an overlay carries the overlay's name before a tilde. */
const idOf = (kind: Kind) =>
  z.string().regex(new RegExp(`^${kind}/(?:${slug}~)?${slug}$`), `must look like ${kind}/kebab-case`)
const FamilyId = idOf('family')
const ConditionId = idOf('condition')
const CauseId = idOf('cause')
const CheckId = idOf('check')
const ReadingId = idOf('reading')
const ContextId = idOf('context')
const RemedyId = idOf('remedy')
const PartClassId = idOf('part-class')
const HazardId = idOf('hazard')
const Name = z.string().regex(new RegExp(`^${slug}$`), 'must be kebab-case')

/** Text by language; en-GB is given only where its words differ. */
export const TextSchema = z.strictObject({ 'en-US': z.string().min(1), 'en-GB': z.string().min(1).optional() })

const basis = {
  basis: z.enum(['published', 'derived', 'judgement']),
  source: z.string().optional(),
  note: z.string().optional(),
}
/** A number or a named level of `levels.json`, with where it comes from. */
export const ProbabilitySchema = z
  .strictObject({ value: z.number().min(0).max(1).optional(), level: Name.optional(), ...basis })
  .refine((n) => (n.value === undefined) !== (n.level === undefined), 'give either value or level')
const FactorSchema = z.strictObject({ value: z.number().min(0.01).max(100), ...basis })
const MinutesSchema = z.strictObject({ value: z.number().positive(), unit: z.literal('min'), ...basis })
/** Probabilities over ordered levels, lowest (healthy) first; they sum to 1. */
export const DistributionSchema = z.strictObject({ values: z.array(z.number().min(0).max(1)).min(2), ...basis })

/** Where a rule or a duty comes from; `practice` is common practice without a source. */
const practised = {
  basis: z.enum(['published', 'practice', 'judgement']),
  source: z.string().optional(),
  note: z.string().optional(),
}

const common = {
  status: z.enum(['draft', 'active', 'deprecated']).default('active'),
  deprecated: z
    .strictObject({ since: z.string(), reason: z.string(), replacedBy: z.array(z.string()).default([]) })
    .optional(),
  label: TextSchema,
  lay: TextSchema.optional(),
  /** Other names in use. */
  altLabels: z.array(z.string()).default([]),
  /** Misspellings, retired names and everyday words: found by search, never shown as a name. */
  hiddenLabels: z.array(z.string()).default([]),
  definition: TextSchema,
  note: TextSchema.optional(),
}

export const WHO = ['caller', 'handy', 'technician'] as const
/** What a person must be able to do to answer a check. */
export const SENSES = ['hearing', 'sight', 'smell'] as const
/** What a step opens, takes away or sets off; `signal`: it sends a signal or may set one off. */
export const DISTURBS = ['cover', 'cell', 'wall', 'loop', 'supply', 'line', 'siren', 'path', 'signal'] as const
export const PLACES = [
  'anywhere',
  'keypad',
  'socket',
  'box',
  'siren',
  'device',
  'line',
  'fuse-board',
  'phone-or-app',
] as const

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
  /** Danger checks that come before anything else while it stands. */
  askFirst: z.array(CheckId).min(1).optional(),
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
  /** How often this holds when nothing is known. */
  share: ProbabilitySchema,
  /** Factors on the prior odds of causes while this holds. */
  shifts: z.array(z.strictObject({ cause: CauseId, factor: FactorSchema })).default([]),
  /** What the person at the site can do so that it no longer stands in the way of a step; nobody can where left out. */
  lift: TextSchema.optional(),
})

const YesNo = z.strictObject({
  kind: z.literal('yes-no'),
  /** The result that the linked causes bring about. */
  positive: Name,
  /** The plain result seen when no linked cause stands. */
  negative: Name,
  leak: ProbabilitySchema,
  links: z.array(z.strictObject({ cause: CauseId, q: ProbabilitySchema })).min(1),
})
const severityScale = {
  leak: DistributionSchema,
  links: z.array(z.strictObject({ cause: CauseId, distribution: DistributionSchema })).min(1),
}
const Ordered = z.strictObject({
  kind: z.literal('ordered'),
  /** Result ids from healthy to worst. */
  order: z.array(Name).min(2),
  ...severityScale,
})
const Applicability = z.strictObject({
  kind: z.literal('applicability'),
  /** Which context each result establishes; a result left out establishes none of them. */
  sets: z.array(z.strictObject({ result: Name, context: ContextId })).min(1),
})
const OfReading = z.strictObject({ kind: z.literal('reading'), reading: ReadingId })
const Reveals = z.strictObject({ kind: z.literal('reveals'), complete: Name })
const Danger = z.strictObject({ kind: z.literal('danger'), hazard: HazardId, sign: Name })

export const CheckSchema = z.strictObject({
  id: CheckId,
  ...common,
  family: z.enum(FAMILIES).optional(),
  /** Asked of the caller, word for word. */
  ask: TextSchema,
  /** How to do it, for the person who reads it out. */
  how: TextSchema.optional(),
  place: z.enum(PLACES),
  who: z.enum(WHO),
  /** Without these the answer is not known, never "no". */
  senses: z.array(z.enum(SENSES)).optional(),
  minutes: MinutesSchema,
  /** Time that passes by itself, on top of the minutes of attention. */
  wait: MinutesSchema.optional(),
  tools: z.array(Name).default([]),
  hazards: z.array(HazardId).default([]),
  disturbs: z.array(z.enum(DISTURBS)).default([]),
  /** Results of other checks that must be known first. */
  requires: z.array(z.strictObject({ check: CheckId, result: Name })).default([]),
  /** Conditions, or whole families of them, of which it makes sense to ask; any while left out. */
  about: z
    .array(z.union([ConditionId, FamilyId]))
    .min(1)
    .optional(),
  scope: z.enum(['system', 'device']).default('system'),
  /** "dont-know" is always accepted and says nothing. */
  /** A result with a `danger` stops everything, like the sign of a danger check. */
  results: z.array(z.strictObject({ id: Name, label: TextSchema, danger: HazardId.optional() })).min(2),
  model: z.discriminatedUnion('kind', [YesNo, Ordered, Applicability, OfReading, Reveals, Danger]),
})

/** Unit of each quantity that a reading can have. */
export const READING_UNITS = {
  voltage: 'V',
  'voltage-ac': 'V',
  resistance: 'Ohm',
  current: 'A',
  temperature: 'Cel',
  duration: 'h',
  'signal-level': 'dBm',
  'reference-power': 'dBm',
  'signal-margin': 'dB',
  'sound-level': 'dB',
  'signal-fraction': '%',
  count: '1',
} as const
export type ReadingQuantity = keyof typeof READING_UNITS

const SideSchema = z.strictObject(severityScale)
export const ReadingSchema = z.strictObject({
  id: ReadingId,
  ...common,
  /** Base unit of the quantity; dBm is a level against 1 mW and has no UCUM code of its own. */
  quantity: z.enum(Object.keys(READING_UNITS) as [ReadingQuantity, ...ReadingQuantity[]]),
  unit: z.enum(['V', 'Ohm', 'A', 'Cel', 'h', 'dBm', 'dB', '1', '%']),
  /** One value for each device (zone, sensor, module) or one for the system. */
  scope: z.enum(['system', 'device']).default('system'),
  /** Between which points, in which state of the system. */
  point: TextSchema,
  state: TextSchema,
  /** How long the thing measured must be left alone before, and in which mode the meter is. */
  rest: TextSchema,
  /** What the measurement destroys or disturbs, in words; "Nothing" when so. */
  destroys: TextSchema,
  validRange: z.strictObject({ low: z.number(), high: z.number() }),
  /** Meter assumed when none is stated: percent of reading plus absolute uncertainty in the unit. */
  meter: z.strictObject({ percentOfReading: z.number().min(0), absolute: z.number().min(0), ...basis }),
  /** Bands in ascending value; each but the last ends below `upTo`. Exactly one is the healthy one. */
  bands: z
    .array(
      z.strictObject({
        id: Name,
        label: TextSchema,
        upTo: z.strictObject({ value: z.number(), ...basis }).optional(),
        healthy: z.boolean().default(false),
      }),
    )
    .min(2),
  /** Values under the healthy band; levels: healthy, then each lower band in turn. */
  low: SideSchema.optional(),
  /** Values over the healthy band; levels: healthy, then each higher band in turn. */
  high: SideSchema.optional(),
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
  requires: z.array(z.strictObject({ check: CheckId, result: Name })).default([]),
  lowersSecurity: z.boolean().default(false),
  fixes: z.array(z.strictObject({ cause: CauseId, probability: ProbabilitySchema })).min(1),
  steps: z.array(TextSchema).min(1),
  /** What to expect while it clears, with times. */
  expect: TextSchema,
  /** How to confirm that it worked. */
  confirm: TextSchema,
  partClasses: z.array(PartClassId).default([]),
})

const AttributeName = z.string().regex(/^[a-z][A-Za-z0-9]*$/)
const AttributeValue = z.union([z.number(), z.string(), z.boolean()])

/** How a value of the old part or of the system decides over a new part. */
export const FitSchema = z.strictObject({
  rule: z.enum(FIT_RULES),
  /** Words from least to most, where more is allowed. */
  order: z.array(z.string()).min(2).optional(),
  /** What every part of the kind is. */
  fixed: AttributeValue.optional(),
  /** What is better where nothing is demanded. */
  prefer: AttributeValue.optional(),
  /** Words that name the whole list of values and none of it. */
  unspecific: z.array(z.string()).min(1).optional(),
  ...practised,
})

/** What may take the place of a part of this class: one way only, on its conditions, never a substitute of a substitute. */
export const SubstituteSchema = z.strictObject({
  id: Name,
  /** What changes, for the person who sells it. */
  say: TextSchema,
  swaps: z
    .array(z.strictObject({ attribute: AttributeName, required: AttributeValue, candidate: AttributeValue }))
    .min(1),
  /** Class of the candidate, where it is another one. */
  partClass: PartClassId.optional(),
  /** What somebody has to make sure of first. */
  conditions: z.array(z.strictObject({ id: Name, ask: TextSchema })).default([]),
  /** 1 is as good as the original, 3 a makeshift. */
  rank: z.number().int().min(1).max(3),
  /** A piece that has to be bought along, for each part. */
  with: z
    .strictObject({
      partClass: PartClassId,
      attributes: z.record(AttributeName, AttributeValue),
      quantity: z.number().int().min(1),
    })
    .optional(),
  ...practised,
})

export const SALE_KINDS = ['transport', 'take-back', 'shelf-age', 'installer', 'activation', 'limit'] as const
export const SALE_REGIONS = ['world', 'EU', 'GB', 'US'] as const
/** What a shop has to know when it sells a part, and afterwards. */
export const SaleNoteSchema = z.strictObject({
  id: Name,
  kind: z.enum(SALE_KINDS),
  region: z.enum(SALE_REGIONS),
  say: TextSchema,
  /** Numbers of the UN Model Regulations. */
  unNumbers: z.array(z.string().regex(/^UN \d{4}$/)).optional(),
  /** Months in store after which it is charged, tested or sold off. */
  months: z.number().positive().optional(),
  ...practised,
})

export const PartClassSchema = z.strictObject({
  id: PartClassId,
  ...common,
  attributes: z
    .array(
      z.strictObject({
        name: AttributeName,
        label: TextSchema,
        type: z.enum(['number', 'text', 'boolean']),
        unit: z.string().optional(),
        values: z.array(z.string()).optional(),
        role: z.enum(['safety', 'hard', 'preference']),
        find: TextSchema,
        /** Absent before 0.4.0. */
        fit: FitSchema.optional(),
      }),
    )
    .min(1),
  /** Classes that it is bought along with; by itself it is the part. */
  accessoryTo: z.array(PartClassId).optional(),
  /** Hazards of reading, measuring and handling the old part. */
  hazards: z.array(HazardId).optional(),
  substitutes: z.array(SubstituteSchema).optional(),
  sale: z.array(SaleNoteSchema).optional(),
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
