import { z } from '@hono/zod-openapi'
import { BASIS_STATED, CautionsSchema, ONTOLOGY_FIELDS, QuantitySchema, WarningsSchema } from '../../schema.ts'
import { ContradictionsSchema, OutlookSchema } from './outlook-schema.ts'
import {
  Attribute,
  ConfirmedSchema,
  ConstraintSchema,
  DiagnosisContextSchema,
  REQUIREMENT_FIELDS,
  Value,
} from './requirement-schema.ts'
import { SaleNotesSchema } from './sale-schema.ts'

const Word = z.string().min(1).max(80)

const RangeSchema = z
  .strictObject({ min: z.number(), max: z.number() })
  .refine(({ min, max }) => min <= max, { path: ['max'], message: 'must not be below min' })

const SystemSchema = z
  .strictObject({
    batteryVoltage: QuantitySchema.optional().openapi({ description: 'Of the whole standby battery' }),
    fittedCount: z.number().int().min(1).max(1000).optional().openapi({ description: 'Blocks or cells in place' }),
    supplyOutput: QuantitySchema.optional().openapi({ description: 'Voltage that the panel asks of its supply' }),
    supplyKind: z.enum(['ac', 'dc']).optional(),
    supplyPower: QuantitySchema.optional().openapi({ description: 'Apparent power that the panel asks for, in VA' }),
    mainsVoltage: QuantitySchema.optional().openapi({ description: 'Of the building' }),
    deviceSupply: z
      .strictObject({ low: QuantitySchema, high: QuantitySchema })
      .optional()
      .openapi({ description: 'Lowest and highest voltage at the device' }),
    loadCurrent: QuantitySchema.optional().openapi({ description: 'What everything on a supply draws' }),
    outputLimit: QuantitySchema.optional().openapi({ description: 'The most that an output may give' }),
    bay: z
      .strictObject({
        length: QuantitySchema.optional(),
        width: QuantitySchema.optional(),
        height: QuantitySchema.optional(),
      })
      .optional()
      .openapi({ description: 'Room in the case; height with plug and wire bend' }),
    terminals: z.array(Word).min(1).max(10).optional().openapi({ description: 'What the leads fit: F1, F2, M5' }),
    endOfLine: z
      .strictObject({ resistance: QuantitySchema, toleranceFraction: z.number().min(0).max(1).optional() })
      .optional()
      .openapi({
        description:
          'Of the circuit that the part is for, as the equipment is set to; a siren circuit has not that of the detector loops',
      }),
    familyKey: Word.optional().openapi({ description: 'Product family as declared, never guessed from looks' }),
    band: QuantitySchema.optional().openapi({ description: 'Radio band, in MHz' }),
    slotCharges: z.boolean().optional().openapi({
      description: 'The holder charges what is in it: no cell that cannot be recharged may go in',
    }),
  })
  .openapi('SystemFacts')

const SizingSchema = z
  .strictObject({
    requiredCapacity: QuantitySchema.optional().openapi({ description: 'From sizing the battery' }),
    chargerLimit: QuantitySchema.optional().openapi({ description: 'Largest capacity by the label of the charger' }),
    caseLimit: QuantitySchema.optional().openapi({ description: 'Largest capacity that the case may hold' }),
    chargeCurrent: QuantitySchema.optional().openapi({ description: 'Left for charging beside the load' }),
    rechargeDuration: QuantitySchema.optional(),
    rechargeFraction: z.number().min(0.1).max(1).optional(),
    inParallel: z.number().int().min(1).max(10).optional().openapi({ description: 'Equal strings side by side' }),
  })
  .openapi('SizingFacts')

export const NeedsRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    remedy: z.string().min(3).max(120).optional().openapi({ description: 'This or partClass' }),
    partClass: z.string().min(3).max(120).optional(),
    system: SystemSchema.default({}),
    sizing: SizingSchema.default({}),
    oldPart: z
      .strictObject({
        attributes: z
          .record(Attribute, z.union([Value, RangeSchema]))
          .default({})
          .openapi({ description: 'Attributes of the part class as read off it' }),
      })
      .default({ attributes: {} }),
    demands: z
      .array(ConstraintSchema)
      .max(10)
      .default([])
      .openapi({ description: 'What a document or a listing demands word for word' }),
    quantity: z.number().int().min(1).max(100_000).optional(),
    adaptersAllowed: z.boolean().default(false),
    confirmed: ConfirmedSchema,
    diagnosis: DiagnosisContextSchema.optional(),
  })
  .refine(({ remedy, partClass }) => (remedy === undefined) !== (partClass === undefined), {
    path: ['remedy'],
    message: 'give either remedy or partClass',
  })
  .openapi('FindPartNeedsRequest', {
    example: {
      remedy: 'remedy/replace-storage-battery',
      system: {
        batteryVoltage: { value: 12, unit: 'V' },
        fittedCount: 1,
        bay: {
          length: { value: 155, unit: 'mm' },
          width: { value: 70, unit: 'mm' },
          height: { value: 105, unit: 'mm' },
        },
        terminals: ['F1'],
      },
      sizing: {
        requiredCapacity: { value: 6.4, unit: 'Ah' },
        chargeCurrent: { value: 350, unit: 'mA' },
      },
      oldPart: { attributes: { capacityAh: 7, chemistry: 'agm' } },
      adaptersAllowed: true,
      diagnosis: { causes: [{ cause: 'cause/supply-unplugged', probability: 0.62 }] },
    },
  })
export type NeedsRequest = z.infer<typeof NeedsRequestSchema>

export const NeedsAnswerSchema = z
  .object({
    ...BASIS_STATED,
    outlook: OutlookSchema.optional(),
    remedy: z.string().optional(),
    needs: z.array(
      z.object({
        partClass: z.string(),
        label: z.string(),
        role: z.enum(['part', 'accessory']),
        remark: z.string().optional().openapi({ description: 'What this kind of part is easily taken for' }),
        state: z.enum(['open', 'contradicted', 'ruled-out']).openapi({
          description: 'contradicted: facts against each other; ruled-out: the kind of part against a fact',
        }),
        isComplete: z.boolean().openapi({ description: 'Everything that decides is stated, and nothing contradicts' }),
        contradictions: ContradictionsSchema,
        requirement: z
          .object({ ...REQUIREMENT_FIELDS, quantity: z.number().int(), adaptersAllowed: z.boolean() })
          .openapi({ description: 'A body for matching parts, as it is' }),
        questions: z
          .array(z.object({ attribute: z.string(), label: z.string(), find: z.string(), isSafety: z.boolean() }))
          .openapi({ description: 'What to read off the old part, matters of safety first' }),
        notes: WarningsSchema,
        cautions: CautionsSchema.openapi({ description: 'Before the old part is read, measured or handled' }),
        limits: SaleNotesSchema.openapi({ description: 'Who may buy, fit or activate it' }),
        unused: z.array(z.string()).openapi({ description: 'Fields that say nothing of this kind of part' }),
      }),
    ),
  })
  .openapi('FindPartNeedsAnswer')
