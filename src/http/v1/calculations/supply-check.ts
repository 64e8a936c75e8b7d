import { z } from '@hono/zod-openapi'
import { checkSupply, type SupplyInput } from '../../../domain/circuits/supply-check.ts'
import { quantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation, given } from './calculation.ts'

const { required, optional } = quantityReader
const Kind = z.enum(['ac', 'dc'])

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    kind: Kind.openapi({ description: 'What the label of the supply says it gives' }),
    ratedVoltage: QuantitySchema,
    ratedPower: QuantitySchema.optional().openapi({ description: 'VA' }),
    ratedCurrent: QuantitySchema.optional(),
    loadCurrent: QuantitySchema.optional().openapi({ description: 'Everything on the DC side, charging included' }),
    openVoltage: QuantitySchema.optional(),
    loadedVoltage: QuantitySchema.optional(),
    meterRange: Kind.optional(),
    auxiliary: z
      .strictObject({
        ratedCurrent: QuantitySchema,
        loads: z
          .array(
            z.strictObject({
              label: z.string().max(80).optional(),
              quantity: z.number().min(0).max(1000).default(1),
              current: QuantitySchema,
            }),
          )
          .max(100),
      })
      .optional(),
  })
  .openapi('CheckSupplyRequest', {
    example: {
      kind: 'ac',
      ratedVoltage: { value: 16.5, unit: 'V' },
      ratedPower: { value: 40, unit: 'VA' },
      loadCurrent: { value: 0.9, unit: 'A' },
      openVoltage: { value: 18.4, unit: 'V' },
      loadedVoltage: { value: 16.2, unit: 'V' },
    },
  })
const RangeSchema = z.object({ low: AmountSchema, high: AmountSchema })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    verdict: z.enum(['sound', 'dead', 'overloaded-or-shorted', 'weak', 'wrong-range', 'cannot-tell']),
    because: z.string(),
    demand: z
      .object({ current: AmountSchema, apparentPower: AmountSchema, fractionOfRating: z.number().optional() })
      .optional(),
    regulationFraction: z.number().optional(),
    expected: z.object({ open: RangeSchema, loaded: RangeSchema }),
    auxiliary: z
      .object({ load: AmountSchema, rated: AmountSchema, left: AmountSchema, isOverload: z.boolean() })
      .optional(),
  })
  .openapi('CheckSupplyAnswer')

function toInput(body: z.infer<typeof RequestSchema>): SupplyInput {
  const { auxiliary } = body
  return given({
    kind: body.kind,
    ratedV: required(body.ratedVoltage, 'V', '/ratedVoltage'),
    ...optional('ratedVA', body.ratedPower, 'V.A', '/ratedPower'),
    ...optional('ratedA', body.ratedCurrent, 'A', '/ratedCurrent'),
    ...optional('loadCurrentA', body.loadCurrent, 'A', '/loadCurrent'),
    ...optional('openV', body.openVoltage, 'V', '/openVoltage'),
    ...optional('loadedV', body.loadedVoltage, 'V', '/loadedVoltage'),
    meterRange: body.meterRange,
    auxiliary: auxiliary && {
      ratedA: required(auxiliary.ratedCurrent, 'A', '/auxiliary/ratedCurrent'),
      loads: auxiliary.loads.map(({ quantity, current }, index) => ({
        quantity,
        currentA: required(current, 'A', `/auxiliary/loads/${index}/current`),
      })),
    },
  }) as SupplyInput
}

const volts = ({ low, high }: { low: number; high: number }) => ({
  low: { value: low, unit: 'V' },
  high: { value: high, unit: 'V' },
})
const amperes = (value: number) => ({ value, unit: 'A' })

export const supplyCheckCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema> = {
  path: '/v1/supplies/check',
  operationId: 'checkSupply',
  batchId: 'checkSupplies',
  tag: 'circuits',
  summary: 'Whether a plug-in supply gives what the system needs',
  request: RequestSchema,
  answer: AnswerSchema,
  compute: (wording, body) => {
    const result = checkSupply(toInput(body))
    const { verdict, because, demand, regulationFraction, expected, auxiliary } = result
    return {
      ...accountOf(wording, result),
      verdict,
      because,
      ...(demand && {
        demand: {
          current: amperes(demand.acCurrentA),
          apparentPower: { value: demand.apparentPowerVA, unit: 'V.A' },
          ...(demand.fractionOfRating === undefined ? {} : { fractionOfRating: demand.fractionOfRating }),
        },
      }),
      ...(regulationFraction === undefined ? {} : { regulationFraction }),
      expected: { open: volts(expected.openV), loaded: volts(expected.loadedV) },
      ...(auxiliary && {
        auxiliary: {
          load: amperes(auxiliary.loadA),
          rated: amperes(auxiliary.ratedA),
          left: amperes(auxiliary.leftA),
          isOverload: auxiliary.isOverload,
        },
      }),
    }
  },
}
