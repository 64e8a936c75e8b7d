import { z } from 'zod'

/** What the shapes of all kinds of concept are made of. */

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
export const FamilyId = idOf('family')
export const ConditionId = idOf('condition')
export const CauseId = idOf('cause')
export const CheckId = idOf('check')
export const ReadingId = idOf('reading')
export const ContextId = idOf('context')
export const RemedyId = idOf('remedy')
export const PartClassId = idOf('part-class')
export const HazardId = idOf('hazard')
export const Name = z.string().regex(new RegExp(`^${slug}$`), 'must be kebab-case')

/** Text by language; en-GB is given only where its words differ. */
export const TextSchema = z.strictObject({ 'en-US': z.string().min(1), 'en-GB': z.string().min(1).optional() })

export const basis = {
  basis: z.enum(['published', 'derived', 'judgement']),
  source: z.string().optional(),
  note: z.string().optional(),
}
/** A number or a named level of `levels.json`, with where it comes from. */
export const ProbabilitySchema = z
  .strictObject({ value: z.number().min(0).max(1).optional(), level: Name.optional(), ...basis })
  .refine((n) => (n.value === undefined) !== (n.level === undefined), 'give either value or level')
export const FactorSchema = z.strictObject({ value: z.number().min(0.01).max(100), ...basis })
export const MinutesSchema = z.strictObject({ value: z.number().positive(), unit: z.literal('min'), ...basis })
/** Probabilities over ordered levels, lowest (healthy) first; they sum to 1. */
export const DistributionSchema = z.strictObject({ values: z.array(z.number().min(0).max(1)).min(2), ...basis })

/** Where a rule or a duty comes from; `practice` is common practice without a source. */
export const practised = {
  basis: z.enum(['published', 'practice', 'judgement']),
  source: z.string().optional(),
  note: z.string().optional(),
}

export const common = {
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
