import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import type { PartClass } from '../../../ontology/shape.ts'
import { type ReadPartInput, readPart } from '../../../services/read-part.ts'
import { LIMITS } from '../../limits.ts'
import { BASIS_STATED, CautionsSchema, ONTOLOGY_FIELDS } from '../../schema.ts'
import type { Calculation } from '../calculations/calculation.ts'
import { conceptOf } from './requirement.ts'
import { Attribute, Value } from './requirement-schema.ts'

const RangeSchema = z.object({ min: z.number(), max: z.number() })
const ListSchema = z.array(z.union([z.number(), z.string()]))
const ColumnSchema = z.union([Value, z.strictObject({ min: z.number(), max: z.number() })])
const MOST_COLUMNS = 60

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    text: z.string().min(1).max(LIMITS.partText).openapi({ description: 'A title or a label, as it is written' }),
    partClass: z.string().max(120).optional().openapi({
      description: 'Decides what single letters mean: F1 is a tab of a battery, F a quick fuse, M mega on a resistor',
    }),
    decimalMark: z.enum(['.', ',']).optional().openapi({
      description: 'The decimal mark where the text was written; without it 1,200 and 2.200 stay open',
    }),
    columns: z
      .record(Attribute, ColumnSchema)
      .refine((columns) => Object.keys(columns).length <= MOST_COLUMNS, `must name at most ${MOST_COLUMNS} attributes`)
      .optional()
      .openapi({
        description: 'What is already known of the part; it counts, and what the text says otherwise is told',
      }),
    gtin: z.string().max(40).optional().openapi({ description: 'Checked, brought to fourteen digits, never repaired' }),
  })
  .openapi('ReadPartRequest', {
    example: {
      text: 'Standby battery 12V 7Ah/20HR 151x65x94(100)mm F1',
      partClass: 'part-class/vrla-battery-12v',
      columns: { capacityAh: 7.2 },
    },
  })

const QuestionSchema = z.object({
  attribute: z.string(),
  kind: z.enum(['ambiguous', 'missing', 'hazard']),
  reason: z.string(),
  candidates: z.array(Value).optional(),
  label: z.string().optional(),
  find: z.string().optional().openapi({ description: 'How to find it on the part' }),
})
const CellSchema = z
  .object({
    designation: z.string(),
    how: z.enum(['systematic', 'table-row', 'geometry-only']),
    resolvedFrom: z.string().optional(),
    cells: z.number().int().optional(),
    parallelGroups: z.number().int().optional(),
    system: z.string().optional(),
    chemistry: z.string().optional(),
    rechargeable: z.boolean().optional(),
    shape: z.string().optional(),
    nominalVoltageV: z.number().optional(),
    diameterMm: z.number().optional(),
    heightMm: z.number().optional(),
    lengthMm: z.number().optional(),
    widthMm: z.number().optional(),
    cellDiameterMm: z.number().optional(),
    cellHeightMm: z.number().optional(),
    otherNames: z.array(z.string()),
    needsConfirmation: z.array(z.string()),
  })
  .openapi('CellDesignation', { description: 'Largest measures of the envelope; from the designation or a table' })

const AnswerSchema = z
  .object({
    ...BASIS_STATED,
    kind: z.string().openapi({ description: 'Kind of part that the reading went by' }),
    attributes: z.array(
      z.object({
        attribute: z.string().openapi({ description: 'Name as in the part classes; its unit is in the name' }),
        value: Value.optional(),
        range: RangeSchema.optional(),
        list: ListSchema.optional(),
        certainty: z.enum(['stated', 'derived', 'ambiguous']),
        candidates: z.array(Value).optional(),
        rule: z.string(),
        span: z
          .object({ start: z.number().int(), end: z.number().int(), text: z.string() })
          .openapi({ description: 'Place in the text, in UTF-16 units, the end not included' }),
      }),
    ),
    settled: z.record(z.string(), z.union([Value, RangeSchema])).openapi({
      description: 'Stated and derived attributes as an item of `POST /v1/parts/match` carries them',
    }),
    confirm: z.array(QuestionSchema).openapi({ description: 'What a person must settle; nothing here was guessed' }),
    conflicts: z.array(
      z.object({
        code: z.literal('ATTRIBUTE_CONFLICT'),
        attribute: z.string(),
        inText: z.union([Value, RangeSchema, ListSchema]),
        inColumn: z.union([Value, RangeSchema]),
        span: z.object({ start: z.number().int(), end: z.number().int() }),
      }),
    ),
    doubts: z
      .array(
        z.object({
          code: z.literal('ATTRIBUTE_IMPLAUSIBLE'),
          attribute: z.string(),
          found: z.union([z.number(), z.string()]),
          usual: ListSchema,
        }),
      )
      .openapi({ description: 'Unusual for such a block: common practice, no source; warnings only' }),
    cell: CellSchema.optional(),
    gtin: z
      .object({
        isValid: z.boolean().optional(),
        code: z.string().optional(),
        gtin14: z.string().optional(),
        packLevel: z.number().int().optional(),
        isRestricted: z.boolean().optional(),
      })
      .optional(),
    askFor: z.array(z.object({ attribute: z.string(), label: z.string(), find: z.string() })),
    cautions: CautionsSchema,
    words: z.array(z.string()).openapi({ description: 'What no rule took: for a search by text' }),
  })
  .openapi('ReadPartAnswer')

export const readPartCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, ReadPartInput> = {
  path: '/v1/parts/read',
  operationId: 'readPart',
  batchId: 'readParts',
  tag: 'parts',
  summary: 'What the title of a part says, what to confirm, and where it contradicts what is known',
  request: RequestSchema,
  answer: AnswerSchema,
  read: ({ text, partClass, decimalMark, columns, gtin }, _, { release }) =>
    given({
      text,
      partClass:
        partClass === undefined ? undefined : conceptOf<PartClass>(release, 'part-class', partClass, '/partClass'),
      decimalMark,
      columns,
      gtin,
    }),
  compute: readPart,
}
