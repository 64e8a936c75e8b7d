import { z } from '@hono/zod-openapi'

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
  const isBound = op !== 'eq' && op !== 'in' && op !== 'ask'
  if (isBound && typeof value !== 'number') refuse('value', `must be a number for ${op}`, value)
  if (to === undefined) return
  if (op !== 'range' && op !== 'covers') refuse('to', 'is the upper end of range and covers only', to)
  else if (typeof value === 'number' && to < value) refuse('to', 'must not be below value', to)
}

export const ConstraintSchema = z
  .strictObject({
    attribute: Attribute.openapi({
      description: 'Name as in the part class; its unit is in the name: capacityAh, heightMm',
    }),
    op: z.enum(['eq', 'in', 'min', 'max', 'range', 'covers', 'ask']).openapi({
      description: 'ask: nobody has stated yet what it must be, so every item is to be confirmed first',
    }),
    value: z.union([Value, z.array(Value).min(1).max(20)]),
    to: z.number().optional().openapi({ description: 'Upper end of range and covers' }),
    kind: z.enum(['hard', 'soft', 'confirm']).default('hard').openapi({
      description: 'confirm: the real bound is not known, so an item beyond it is a question and no refusal',
    }),
    isSafety: z
      .boolean()
      .optional()
      .openapi({ description: 'Never relaxed. Attributes that the part class marks as safety are so in any case' }),
    origin: z.string().max(200).default('given by the caller'),
  })
  .check(refuseBadBounds)
  .openapi('Constraint')

export const ItemSchema = z
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
    gtin14: z
      .string()
      .regex(/^\d{14}$/)
      .optional(),
    mpn: z.string().min(1).max(80).optional(),
    brand: z.string().min(1).max(80).optional(),
    madeOn: z.iso.date().optional(),
    isDiscontinued: z.boolean().optional(),
    successorSku: z.string().min(1).max(80).optional(),
    needsInstaller: z.boolean().optional(),
    needsActivation: z.boolean().optional(),
  })
  .openapi('Item')

export const ConfirmedSchema = z
  .array(z.string().min(1).max(80))
  .max(20)
  .optional()
  .openapi({ description: 'Conditions of substitutes that somebody has made sure of' })

/** One kind of part with its demands. */
export const REQUIREMENT_FIELDS = {
  partClass: z.string().max(120),
  constraints: z.array(ConstraintSchema).max(40),
  quantity: z.number().int().min(1).max(100_000).default(1),
  adaptersAllowed: z.boolean().default(false),
  confirmed: ConfirmedSchema,
}

export const DiagnosisContextSchema = z
  .strictObject({
    causes: z
      .array(
        z.strictObject({
          cause: z.string().min(3).max(120),
          device: z.string().max(64).optional(),
          label: z.string().max(200).optional().openapi({ description: 'As a diagnosis gives it; not used' }),
          probability: z.number().min(0).max(1),
        }),
      )
      .max(100),
    remedy: z.string().min(3).max(120).optional().openapi({ description: 'Remedy that the part is bought for' }),
  })
  .openapi('DiagnosisContext', {
    description:
      'Causes as a diagnosis ranks them, or the open roots of its plan: what stands above the part is said first',
  })
