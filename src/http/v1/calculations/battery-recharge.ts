import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { type RechargeInput, rechargeTime } from '../../../domain/power/recharge-time.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'
import { BATTERIES, CHARGER, suitabilityOf } from './suitability.ts'

const Fraction = z.number().min(0).max(1)

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    capacity: QuantitySchema,
    supplyCurrent: QuantitySchema.openapi({ description: 'What the supply gives in all' }),
    chargeLimit: QuantitySchema.openapi({ description: 'Most that the charger gives the battery' }),
    loadCurrent: QuantitySchema,
    startFraction: Fraction.optional(),
    kneeFraction: Fraction.optional(),
    efficiencyFraction: Fraction.optional(),
    ...BATTERIES,
    ...CHARGER,
  })
  .openapi('RechargeRequest', {
    example: {
      capacity: { value: 7, unit: 'Ah' },
      supplyCurrent: { value: 1, unit: 'A' },
      chargeLimit: { value: 0.7, unit: 'A' },
      loadCurrent: { value: 250, unit: 'mA' },
    },
  })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    netCurrent: AmountSchema,
    loadShareFraction: z.number(),
    canRecharge: z.boolean(),
    timeTo80Percent: AmountSchema.optional(),
    timeToFull: AmountSchema.optional(),
    deadlines: z.array(
      z.object({
        standard: z.string(),
        targetFraction: z.number(),
        limit: AmountSchema,
        source: z.string(),
        requiredCurrent: AmountSchema,
        isMet: z.boolean(),
      }),
    ),
  })
  .openapi('RechargeAnswer')

function toInput(body: z.infer<typeof RequestSchema>, reader: QuantityReader): RechargeInput {
  const { required } = reader
  return given({
    capacityAh: required(body.capacity, 'A.h', '/capacity'),
    supplyCurrentA: required(body.supplyCurrent, 'A', '/supplyCurrent'),
    chargeLimitA: required(body.chargeLimit, 'A', '/chargeLimit'),
    loadCurrentA: required(body.loadCurrent, 'A', '/loadCurrent'),
    startFraction: body.startFraction,
    kneeFraction: body.kneeFraction,
    efficiencyFraction: body.efficiencyFraction,
    ...suitabilityOf(body, reader),
  }) as RechargeInput
}

export const batteryRechargeCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, RechargeInput> = {
  path: '/v1/battery/recharge',
  operationId: 'estimateRecharge',
  batchId: 'estimateRecharges',
  tag: 'battery',
  summary: 'How long a flat battery takes to recharge beside the load',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = rechargeTime(input)
    const { hoursTo80Percent, hoursToFull } = result
    return {
      ...accountOf(wording, result),
      netCurrent: { value: result.netCurrentA, unit: 'A' },
      loadShareFraction: result.loadShareFraction,
      canRecharge: result.canRecharge,
      ...(hoursTo80Percent === undefined ? {} : { timeTo80Percent: { value: hoursTo80Percent, unit: 'h' } }),
      ...(hoursToFull === undefined ? {} : { timeToFull: { value: hoursToFull, unit: 'h' } }),
      deadlines: result.deadlines.map(({ limitHours, requiredCurrentA, ...deadline }) => ({
        ...deadline,
        limit: { value: limitHours, unit: 'h' },
        requiredCurrent: { value: requiredCurrentA, unit: 'A' },
      })),
    }
  },
}
