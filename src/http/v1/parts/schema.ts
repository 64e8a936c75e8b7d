import { z } from '@hono/zod-openapi'
import { SALE_REGIONS } from '../../../ontology/shape.ts'
import { LIMITS } from '../../limits.ts'
import { ONTOLOGY_FIELDS } from '../../schema.ts'
import { DiagnosisContextSchema, ItemSchema, REQUIREMENT_FIELDS } from './requirement-schema.ts'

export const MatchRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    ...REQUIREMENT_FIELDS,
    alongside: z
      .array(z.strictObject(REQUIREMENT_FIELDS))
      .max(5)
      .optional()
      .openapi({ description: 'Other parts bought with it; all together make a kit' }),
    diagnosis: DiagnosisContextSchema.optional(),
    at: z.iso.date().optional().openapi({
      description:
        'Day of the sale: the age of what is in stock is judged by it. Over a catalogue, today when left out',
    }),
    region: z
      .enum(SALE_REGIONS)
      .exclude(['world'])
      .optional()
      .openapi({ description: 'Notes on sale of this region beside those that hold everywhere; all when left out' }),
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
