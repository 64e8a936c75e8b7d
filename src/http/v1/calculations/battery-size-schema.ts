import { z } from '@hono/zod-openapi'
import { DUTIES } from '../../../domain/power/duties.ts'
import { LIMITS } from '../../limits.ts'
import {
  AmountSchema,
  BASIS_STATED,
  CautionsSchema,
  ONTOLOGY_FIELDS,
  QuantitySchema,
  StepsSchema,
  WarningsSchema,
  WouldChangeSchema,
} from '../../schema.ts'
import { BATTERIES, CHARGER } from './suitability.ts'

const LoadSchema = z.strictObject({
  label: z.string().max(80).optional(),
  quantity: z.number().min(0).max(10_000).default(1),
  standbyCurrent: QuantitySchema,
  alarmCurrent: QuantitySchema.optional().openapi({
    description: 'Whole current in alarm; as in standby when left out',
  }),
})

export const SizeRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    loads: z.array(LoadSchema).min(1).max(LIMITS.loads),
    duty: z
      .enum(DUTIES.map(({ id }) => id) as [string, ...string[]])
      .optional()
      .openapi({ description: 'Published duty that states the hours' }),
    standbyDuration: QuantitySchema.optional().openapi({ description: "Takes the place of the duty's" }),
    alarmDuration: QuantitySchema.optional(),
    nominalVoltage: QuantitySchema.optional().openapi({ description: '6, 12 or 24 V; 12 V when left out' }),
    method: z.enum(['load-charge', 'derated-alarm', 'sections']).default('load-charge'),
    exponent: z.number().min(1).max(2).optional(),
    ageingFactor: z.number().min(1).max(3).optional(),
    designFactor: z.number().min(1).max(3).optional(),
    temperature: QuantitySchema.optional().openapi({ description: 'Lowest temperature of the battery' }),
    atHand: QuantitySchema.optional().openapi({ description: 'Capacity of a battery at hand: how long would it do?' }),
    ...BATTERIES,
    ...CHARGER,
    limits: z
      .strictObject({
        maximumCapacity: QuantitySchema.optional(),
        supplyCurrent: QuantitySchema.optional(),
        chargeLimit: QuantitySchema.optional(),
        rechargeDuration: QuantitySchema.optional(),
        rechargeFraction: z.number().min(0.1).max(1).optional(),
      })
      .optional(),
  })
  .openapi('SizeBatteryRequest', {
    example: {
      loads: [
        {
          label: 'panel',
          quantity: 1,
          standbyCurrent: { value: 120, unit: 'mA' },
          alarmCurrent: { value: 250, unit: 'mA' },
        },
        { label: 'motion sensor', quantity: 6, standbyCurrent: { value: 15, unit: 'mA' } },
        {
          label: 'siren',
          quantity: 1,
          standbyCurrent: { value: 0, unit: 'mA' },
          alarmCurrent: { value: 0.9, unit: 'A' },
        },
      ],
      standbyDuration: { value: 24, unit: 'h' },
      alarmDuration: { value: 15, unit: 'min' },
    },
  })
export type SizeRequest = z.infer<typeof SizeRequestSchema>

export const SizeAnswerSchema = z
  .object({
    ...BASIS_STATED,
    load: z.object({
      standbyCurrent: AmountSchema,
      alarmCurrent: AmountSchema,
      standbyDuration: AmountSchema,
      alarmDuration: AmountSchema,
    }),
    loadCharge: AmountSchema,
    requiredCapacity: AmountSchema,
    factors: z.array(z.object({ name: z.string(), value: z.number(), source: z.string() })),
    steps: StepsSchema,
    recommended: z
      .object({
        capacity: AmountSchema,
        blockVoltage: AmountSchema,
        inSeries: z.number().int(),
        inParallel: z.number().int(),
      })
      .optional(),
    noneBecause: z.string().optional(),
    largestAllowed: AmountSchema.optional(),
    decisionChangesAt: z
      .object({ standbyCurrent: AmountSchema, standbyDuration: AmountSchema })
      .optional()
      .openapi({ description: 'Up to these the recommendation holds' }),
    whatIf: z.array(
      z.object({
        standbyDuration: AmountSchema,
        requiredCapacity: AmountSchema,
        recommendedCapacity: AmountSchema.optional(),
      }),
    ),
    warnings: WarningsSchema,
    validity: z.string(),
    wouldChange: WouldChangeSchema,
    atHand: z
      .object({ capacity: AmountSchema, standbyDuration: AmountSchema.optional(), reason: z.string().optional() })
      .optional()
      .openapi({ description: 'Standby time that the battery at hand gives under the same factors, or why none' }),
    cautions: CautionsSchema,
  })
  .openapi('SizeBatteryAnswer')
