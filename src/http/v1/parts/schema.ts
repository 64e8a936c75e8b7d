import { z } from '@hono/zod-openapi'
import { LIMITS } from '../../limits.ts'
import { AmountSchema, BASIS_STATED, ONTOLOGY_FIELDS } from '../../schema.ts'

export const Attribute = z
  .string()
  .regex(/^[a-z][A-Za-z0-9]{0,60}$/)
  // A name that every object answers to, such as "constructor", is never an attribute of a part.
  .refine((name) => !(name in Object.prototype), 'must be the name of an attribute')
export const Value = z.union([z.number(), z.string().max(100), z.boolean()])

interface Bounds {
  op: string
  value: unknown
  to?: number | undefined
}

/** Bounds are numbers and in order; otherwise a constraint would hold for nothing, without saying so. */
function refuseBadBounds({ value: { op, value, to }, issues }: z.core.ParsePayload<Bounds>): void {
  const refuse = (field: string, message: string, input: unknown) =>
    issues.push({ code: 'custom', path: [field], message, input })
  const isBound = op !== 'eq' && op !== 'in'
  if (isBound && typeof value !== 'number') refuse('value', `must be a number for ${op}`, value)
  if (to === undefined) return
  if (op !== 'range' && op !== 'covers') refuse('to', 'is the upper end of range and covers only', to)
  else if (typeof value === 'number' && to < value) refuse('to', 'must not be below value', to)
}

const ConstraintSchema = z
  .strictObject({
    attribute: Attribute.openapi({
      description: 'Name as in the part class; its unit is in the name: capacityAh, heightMm',
    }),
    op: z.enum(['eq', 'in', 'min', 'max', 'range', 'covers']),
    value: z.union([Value, z.array(Value).min(1).max(20)]),
    to: z.number().optional().openapi({ description: 'Upper end of range and covers' }),
    kind: z.enum(['hard', 'soft']).default('hard'),
    isSafety: z
      .boolean()
      .optional()
      .openapi({ description: 'Never relaxed. Attributes that the part class marks as safety are so in any case' }),
    origin: z.string().max(200).default('given by the caller'),
  })
  .check(refuseBadBounds)
  .openapi('Constraint')

const ItemSchema = z
  .strictObject({
    sku: z.string().min(1).max(80),
    partClass: z.string().max(120),
    title: z.string().max(200),
    attributes: z.record(Attribute, z.union([Value, z.strictObject({ min: z.number(), max: z.number() })])),
    stock: z.number().int().min(0).optional(),
    packQuantity: z.number().int().min(1).optional(),
    priceMinor: z.number().int().min(0).optional(),
    currency: z
      .string()
      .regex(/^[A-Z]{3}$/)
      .optional(),
  })
  .openapi('Item')

export const MatchRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    partClass: z.string().max(120),
    constraints: z.array(ConstraintSchema).max(40),
    quantity: z.number().int().min(1).max(100_000).default(1),
    adaptersAllowed: z.boolean().default(false),
    items: z
      .array(ItemSchema)
      .max(LIMITS.inlineItems)
      .optional()
      .openapi({ description: "Items to judge. Without them, and with a key, the shop's own catalogue" }),
    limit: z.number().int().min(1).max(50).default(10),
  })
  .openapi('MatchPartsRequest', {
    example: {
      partClass: 'part-class/vrla-battery-12v',
      constraints: [
        { attribute: 'nominalVoltageV', op: 'eq', value: 12, origin: 'label of the old battery' },
        { attribute: 'capacityAh', op: 'range', value: 7, to: 9, origin: 'sizing, and the limit of the charger' },
        { attribute: 'heightMm', op: 'max', value: 101, origin: 'measured in the case' },
      ],
      items: [
        {
          sku: 'B-7',
          partClass: 'part-class/vrla-battery-12v',
          title: 'Standby battery 12 V 7 Ah',
          attributes: { nominalVoltageV: 12, capacityAh: 7, heightMm: 100, terminal: 'F1' },
          stock: 4,
          packQuantity: 1,
          priceMinor: 1890,
          currency: 'EUR',
        },
      ],
    },
  })
export type MatchRequest = z.infer<typeof MatchRequestSchema>

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
    confirm: z
      .array(z.string())
      .optional()
      .openapi({ description: 'What to ask or read before it may be called a fit' }),
    relaxation: z
      .object({ attribute: z.string(), required: z.string(), found: z.string(), danger: z.string() })
      .optional(),
    fix: z.string().optional(),
  })
  .openapi('JudgedItem')

export const MatchAnswerSchema = z
  .object({
    ...BASIS_STATED,
    partClass: z.string(),
    searched: z.enum(['items', 'catalogue']),
    isNoMatch: z.boolean(),
    fits: z.array(JudgedSchema),
    confirmFirst: z.array(JudgedSchema),
    nearMisses: z.array(JudgedSchema),
    rejectedForSafety: z.array(JudgedSchema),
    counts: z.object({
      fits: z.number().int(),
      confirmFirst: z.number().int(),
      nearMisses: z.number().int(),
      rejected: z.number().int(),
    }),
    minimalRelaxations: z.array(z.array(z.string())),
    askFor: z.array(z.object({ attribute: z.string(), label: z.string(), find: z.string() })).openapi({
      description:
        'Attributes of the part class that no constraint speaks of yet, with how to find them on the old part',
    }),
  })
  .openapi('MatchPartsAnswer')
