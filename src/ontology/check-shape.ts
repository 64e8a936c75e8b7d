import { z } from 'zod'
import { AnswerSchema, clears, follows, goesWith } from './follows-shape.ts'
import {
  CauseId,
  CheckId,
  ConditionId,
  ContextId,
  common,
  DISTURBS,
  DistributionSchema,
  FAMILIES,
  FamilyId,
  HazardId,
  MinutesSchema,
  Name,
  PLACES,
  ProbabilitySchema,
  ReadingId,
  SENSES,
  TextSchema,
  WHO,
} from './shape-basics.ts'

const YesNo = z.strictObject({
  kind: z.literal('yes-no'),
  /** The result that the linked causes bring about. */
  positive: Name,
  /** The plain result seen when no linked cause stands. */
  negative: Name,
  leak: ProbabilitySchema,
  links: z.array(z.strictObject({ cause: CauseId, q: ProbabilitySchema })).min(1),
})
export const severityScale = {
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
  requires: z.array(AnswerSchema).default([]),
  ...goesWith,
  /** Conditions, or whole families of them, of which it makes sense to ask; any while left out. */
  about: z
    .array(z.union([ConditionId, FamilyId]))
    .min(1)
    .optional(),
  scope: z.enum(['system', 'device']).default('system'),
  /** "dont-know" is always accepted and says nothing. */
  /** A result with a `danger` stops everything, like the sign of a danger check. */
  results: z
    .array(z.strictObject({ id: Name, label: TextSchema, danger: HazardId.optional(), ...follows, clears }))
    .min(2),
  model: z.discriminatedUnion('kind', [YesNo, Ordered, Applicability, OfReading, Reveals, Danger]),
})
