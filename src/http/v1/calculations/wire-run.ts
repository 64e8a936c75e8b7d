import { z } from '@hono/zod-openapi'
import { type WireRunInput, wireRun } from '../../../domain/circuits/wire-run.ts'
import { given } from '../../../domain/given.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    supply: QuantitySchema,
    current: QuantitySchema.optional(),
    power: QuantitySchema.optional().openapi({
      description: 'Of a regulated load, which draws more as its voltage falls',
    }),
    length: QuantitySchema.optional().openapi({ description: 'One way' }),
    wire: z
      .strictObject({
        awg: z.string().max(4).optional().openapi({ description: 'Gauge by name: 22, 0, 00' }),
        area: QuantitySchema.optional(),
        isStranded: z.boolean().optional(),
        material: z.enum(['copper', 'copper-clad-aluminium']).optional(),
      })
      .optional(),
    temperature: QuantitySchema.optional(),
    drop: z
      .number()
      .min(0.001)
      .max(0.9)
      .optional()
      .openapi({ description: 'Fraction that may be lost; 0.1 when left out' }),
  })
  .openapi('WireRunRequest', {
    example: {
      supply: { value: 12, unit: 'V' },
      current: { value: 0.5, unit: 'A' },
      length: { value: 60, unit: 'm' },
      wire: { awg: '22' },
    },
  })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    loopResistance: AmountSchema.optional(),
    drop: z
      .object({ voltage: AmountSchema, fraction: z.number(), atLoad: AmountSchema, current: AmountSchema })
      .optional(),
    collapses: z.boolean().optional().openapi({ description: 'True: the wire cannot feed this load at all' }),
    smallestAwg: z.string().optional(),
    smallestArea: AmountSchema.optional(),
    longestRun: AmountSchema.optional(),
    resistancePerKilometre: AmountSchema.optional(),
    standardLimit: z.object({ standard: z.string(), nominalArea: AmountSchema, perKilometre: AmountSchema }).optional(),
  })
  .openapi('WireRunAnswer')

function toInput(
  { wire = {}, ...body }: z.infer<typeof RequestSchema>,
  { required, optional }: QuantityReader,
): WireRunInput {
  return given({
    supplyV: required(body.supply, 'V', '/supply'),
    ...optional('currentA', body.current, 'A', '/current'),
    ...optional('powerW', body.power, 'W', '/power'),
    ...optional('lengthM', body.length, 'm', '/length'),
    awg: wire.awg,
    ...optional('areaMm2', wire.area, 'mm2', '/wire/area'),
    isStranded: wire.isStranded,
    material: wire.material,
    ...optional('temperatureC', body.temperature, 'Cel', '/temperature'),
    dropFraction: body.drop,
  }) as WireRunInput
}
const amount = <N extends string>(name: N, value: number | undefined, unit: string) =>
  (value === undefined ? {} : { [name]: { value, unit } }) as Partial<Record<N, { value: number; unit: string }>>

export const wireRunCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, WireRunInput> = {
  path: '/v1/wires/run',
  operationId: 'computeWireRun',
  batchId: 'computeWireRuns',
  tag: 'circuits',
  summary: 'Drop, thinnest wire and longest run of a two-conductor cable',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = wireRun(input)
    const { drop, collapses, smallestAwg, standardLimit } = result
    return {
      ...accountOf(wording, result),
      ...amount('loopResistance', result.loopOhm, 'Ohm'),
      ...(drop && {
        drop: {
          voltage: { value: drop.dropV, unit: 'V' },
          fraction: drop.dropFraction,
          atLoad: { value: drop.loadV, unit: 'V' },
          current: { value: drop.currentA, unit: 'A' },
        },
      }),
      ...(collapses === undefined ? {} : { collapses }),
      ...(smallestAwg === undefined ? {} : { smallestAwg }),
      ...amount('smallestArea', result.smallestAreaMm2, 'mm2'),
      ...amount('longestRun', result.longestRunM, 'm'),
      ...amount('resistancePerKilometre', result.ohmPerKm, 'Ohm'),
      ...(standardLimit && {
        standardLimit: {
          standard: standardLimit.standard,
          nominalArea: { value: standardLimit.nominalAreaMm2, unit: 'mm2' },
          perKilometre: { value: standardLimit.ohmPerKm, unit: 'Ohm' },
        },
      }),
    }
  },
}
