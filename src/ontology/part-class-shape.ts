import { z } from 'zod'
import { FIT_RULES } from '../domain/parts/needs/spec.ts'
import { common, HazardId, Name, PartClassId, practised, TextSchema } from './shape-basics.ts'

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
