import { z } from '@hono/zod-openapi'
import { RECTIFIERS } from '../../../domain/circuits/rectifier.ts'
import { checkSupply, type SupplyInput } from '../../../domain/circuits/supply-check.ts'
import { given } from '../../../domain/given.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'

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
    rectifier: z.enum(RECTIFIERS).optional().openapi({ description: 'Behind an AC supply; bridge when left out' }),
    hasCapacitor: z.boolean().optional().openapi({ description: 'True when left out' }),
    outputVoltage: QuantitySchema.optional().openapi({ description: 'DC voltage that the board must hold' }),
    capacitanceMicrofarad: z.number().optional(),
    mainsFrequency: QuantitySchema.optional(),
    auxiliary: z
      .strictObject({
        ratedCurrent: QuantitySchema,
        loads: z
          .array(
            z.strictObject({
              label: z.string().max(80).optional(),
              quantity: z.number().min(0).max(1000).default(1),
              current: QuantitySchema,
              alarmCurrent: QuantitySchema.optional(),
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
    dcAvailable: AmountSchema.optional().openapi({ description: 'DC current that the rating leaves' }),
    rawDc: AmountSchema.optional().openapi({ description: 'To expect on the capacitor, by the nameplate' }),
    needed: z
      .object({ voltage: AmountSchema, current: AmountSchema, apparentPower: AmountSchema, isEnough: z.boolean() })
      .optional()
      .openapi({ description: 'Secondary that the wanted DC voltage needs' }),
    ripple: AmountSchema.optional().openapi({ description: 'Peak to peak, on the capacitor' }),
    regulationFraction: z.number().optional(),
    expected: z.object({ open: RangeSchema, loaded: RangeSchema }),
    auxiliary: z
      .object({
        load: AmountSchema,
        alarmLoad: AmountSchema,
        rated: AmountSchema,
        left: AmountSchema,
        isOverload: z.boolean(),
      })
      .optional(),
  })
  .openapi('CheckSupplyAnswer')

function toInput(body: z.infer<typeof RequestSchema>, { required, optional }: QuantityReader): SupplyInput {
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
    rectifier: body.rectifier,
    hasCapacitor: body.hasCapacitor,
    ...optional('outputV', body.outputVoltage, 'V', '/outputVoltage'),
    capacitanceUF: body.capacitanceMicrofarad,
    ...optional('mainsHz', body.mainsFrequency, 'Hz', '/mainsFrequency'),
    auxiliary: auxiliary && {
      ratedA: required(auxiliary.ratedCurrent, 'A', '/auxiliary/ratedCurrent'),
      loads: auxiliary.loads.map(({ quantity, current, alarmCurrent }, index) => ({
        quantity,
        currentA: required(current, 'A', `/auxiliary/loads/${index}/current`),
        ...optional('alarmCurrentA', alarmCurrent, 'A', `/auxiliary/loads/${index}/alarmCurrent`),
      })),
    },
  }) as SupplyInput
}

const volts = ({ low, high }: { low: number; high: number }) => ({
  low: { value: low, unit: 'V' },
  high: { value: high, unit: 'V' },
})
const amperes = (value: number) => ({ value, unit: 'A' })

export const supplyCheckCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, SupplyInput> = {
  path: '/v1/supplies/check',
  operationId: 'checkSupply',
  batchId: 'checkSupplies',
  tag: 'circuits',
  summary: 'Whether a plug-in supply gives what the system needs',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = checkSupply(input)
    const { verdict, because, demand, regulationFraction, expected, auxiliary, needed } = result
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
      ...(result.dcAvailableA === undefined ? {} : { dcAvailable: amperes(result.dcAvailableA) }),
      ...(result.rawDcV === undefined ? {} : { rawDc: { value: result.rawDcV, unit: 'V' } }),
      ...(needed && {
        needed: {
          voltage: { value: needed.voltageV, unit: 'V' },
          current: amperes(needed.currentA),
          apparentPower: { value: needed.apparentPowerVA, unit: 'V.A' },
          isEnough: needed.isEnough,
        },
      }),
      ...(result.rippleV === undefined ? {} : { ripple: { value: result.rippleV, unit: 'V' } }),
      ...(regulationFraction === undefined ? {} : { regulationFraction }),
      expected: { open: volts(expected.openV), loaded: volts(expected.loadedV) },
      ...(auxiliary && {
        auxiliary: {
          load: amperes(auxiliary.loadA),
          alarmLoad: amperes(auxiliary.alarmA),
          rated: amperes(auxiliary.ratedA),
          left: amperes(auxiliary.leftA),
          isOverload: auxiliary.isOverload,
        },
      }),
    }
  },
}
