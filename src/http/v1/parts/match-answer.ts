import { z } from '@hono/zod-openapi'
import { AmountSchema, BASIS_STATED, WarningsSchema } from '../../schema.ts'
import { ContradictionsSchema, OutlookSchema } from './outlook-schema.ts'
import { Value } from './requirement-schema.ts'
import { SaleNotesSchema } from './sale-schema.ts'

const FindingSchema = z.object({
  attribute: z.string(),
  required: z.string(),
  found: z.union([Value, z.object({ min: z.number(), max: z.number() })]).optional(),
  origin: z.string(),
  isSafety: z.boolean(),
})
const JudgedSchema = z
  .object({
    sku: z.string(),
    title: z.string(),
    matched: z.array(FindingSchema),
    failed: z.array(FindingSchema),
    unknown: z.array(FindingSchema),
    packsNeeded: z.number().int().optional(),
    surplus: z.number().int().optional(),
    price: AmountSchema.optional().openapi({
      description:
        'Of the packs needed; the unit is the currency, the value in its minor unit. Absent where the currency is not known',
    }),
    isInStock: z.boolean().optional(),
    substitution: z
      .object({
        substitute: z.string(),
        say: z.string(),
        rank: z.number().int().openapi({ description: '1 is as good as the original, 3 a makeshift' }),
        conditions: z.array(z.object({ condition: z.string(), ask: z.string(), isConfirmed: z.boolean() })),
        basis: z.string(),
      })
      .optional()
      .openapi({ description: 'It is another part than the one required, and may take its place on these conditions' }),
    successor: z
      .object({
        sku: z.string(),
        verdict: z.enum(['fits', 'confirm-first', 'near-miss', 'rejected', 'not-looked-at']),
      })
      .optional()
      .openapi({ description: 'What takes the place of a discontinued item, by its own verdict' }),
    warnings: WarningsSchema.optional(),
    confirm: z
      .array(z.string())
      .optional()
      .openapi({ description: 'What to ask or read before it may be called a fit' }),
    relaxation: z
      .object({
        attribute: z.string(),
        required: z.string(),
        found: z.string(),
        beyondBy: z.number().optional().openapi({ description: "Distance in the attribute's unit" }),
        danger: z.string(),
      })
      .optional(),
    fix: z.string().optional(),
  })
  .openapi('JudgedItem')

const LINE_FIELDS = {
  packsNeeded: z.number().int().optional(),
  surplus: z.number().int().optional(),
  price: AmountSchema.optional(),
  isInStock: z.boolean().optional(),
}
const KitSchema = z
  .object({
    lines: z.array(z.object({ sku: z.string(), title: z.string(), partClass: z.string(), ...LINE_FIELDS })),
    completes: z
      .object({
        attribute: z.string(),
        required: z.string(),
        found: z.string(),
        say: z.string(),
        basis: z.string(),
      })
      .optional()
      .openapi({ description: 'What the first line fails and the second makes up for' }),
    price: AmountSchema.optional().openapi({ description: 'Sum of the lines, in the minor unit of the currency' }),
    isInStock: z.boolean().optional().openapi({ description: 'Every line is' }),
  })
  .openapi('PartKit')

export const MatchAnswerSchema = z
  .object({
    ...BASIS_STATED,
    outlook: OutlookSchema.optional(),
    partClass: z.string(),
    searched: z.enum(['items', 'catalogue']),
    contradictions: ContradictionsSchema,
    isNoMatch: z.boolean(),
    fits: z.array(JudgedSchema),
    confirmFirst: z.array(JudgedSchema),
    nearMisses: z.array(JudgedSchema),
    kits: z.array(KitSchema).openapi({
      description:
        'Items that do the job together: a near miss with what mends it, or the part with all asked for alongside',
    }),
    lacking: z.array(z.string()).openapi({ description: 'Kinds asked for alongside of which nothing fits' }),
    rejectedForSafety: z.array(JudgedSchema).openapi({
      description:
        'Of items that were sent. A catalogue is searched without what surely fails, so an empty list does not say that the shop has none',
    }),
    counts: z.object({
      fits: z.number().int(),
      confirmFirst: z.number().int(),
      nearMisses: z.number().int(),
      rejected: z.number().int(),
    }),
    rejections: z.array(z.object({ attribute: z.string(), isSafety: z.boolean(), count: z.number().int() })),
    minimalRelaxations: z.array(z.array(z.string())),
    toOrder: z
      .array(
        z.object({
          attribute: z.string(),
          label: z.string(),
          required: z.string(),
          unit: z.string().optional(),
          isSafety: z.boolean(),
        }),
      )
      .openapi({ description: 'What to ask a supplier for when nothing fits' }),
    askFor: z.array(z.object({ attribute: z.string(), label: z.string(), find: z.string() })).openapi({
      description:
        'Attributes of the part class that no constraint speaks of yet, with how to find them on the old part',
    }),
    sale: SaleNotesSchema,
  })
  .openapi('MatchPartsAnswer')
