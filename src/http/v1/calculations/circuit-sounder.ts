import { z } from '@hono/zod-openapi'
import { analyseSounder, SOUNDER_KINDS, type SounderInput } from '../../../domain/circuits/sounder.ts'
import { given } from '../../../domain/given.ts'
import { limitOfError } from '../../../domain/readings/interpret.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'
import { wireInterval } from './circuit-loop.ts'
import { UNKNOWN_METER } from './unknown-meter.ts'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    kind: z.enum(SOUNDER_KINDS).openapi({ description: 'parallel part, reverse polarity behind a diode, or bare' }),
    sounderResistance: QuantitySchema.optional().openapi({
      description: 'Of a coil or speaker; leave out for an electronic siren',
    }),
    sounders: z.number().int().min(1).max(50).optional(),
    endOfLine: QuantitySchema.optional(),
    tolerance: z.number().min(0).max(0.5).optional(),
    wire: QuantitySchema.optional().openapi({ description: 'There and back' }),
    driveVoltage: QuantitySchema.optional(),
    sounderCurrent: QuantitySchema.optional().openapi({ description: 'Of one sounder in alarm' }),
    outputLimit: QuantitySchema.optional(),
    measured: QuantitySchema.optional().openapi({ description: 'Ohms, power off, both wires lifted' }),
    meter: MeterSchema.optional(),
  })
  .openapi('AnalyseSounderRequest', {
    example: {
      kind: 'parallel',
      sounderResistance: { value: 60, unit: 'Ohm' },
      endOfLine: { value: 2.2, unit: 'kOhm' },
      wire: { value: 3, unit: 'Ohm' },
      driveVoltage: { value: 12, unit: 'V' },
      measured: { value: 2203, unit: 'Ohm' },
    },
  })

const State = z.enum(['all-good', 'sounder-missing', 'part-missing', 'wire-cut', 'short-at-far-end', 'short-at-panel'])
const IntervalSchema = z.object({ low: AmountSchema.optional(), high: AmountSchema.optional() })
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    readings: z.array(
      z.object({
        state: State,
        resistance: IntervalSchema.optional().openapi({
          description: 'Absent where no meter can say; without ends: open',
        }),
        otherWayRound: z.string().optional(),
      }),
    ),
    inAlarm: z
      .object({
        current: AmountSchema,
        drop: AmountSchema.optional(),
        voltageAtSounder: AmountSchema.optional(),
        powerInPart: AmountSchema.optional(),
        isOverload: z.boolean().optional(),
      })
      .optional(),
    classification: z
      .object({ possible: z.array(State), verdict: z.enum(['clear', 'cannot-tell', 'none-fits']), text: z.string() })
      .optional(),
  })
  .openapi('AnalyseSounderAnswer')

function toInput(body: z.infer<typeof RequestSchema>, reader: QuantityReader): SounderInput {
  const { required, optional } = reader
  const ohm = body.measured === undefined ? undefined : required(body.measured, 'Ohm', '/measured')
  const error = body.meter ? readMeter(body.meter, 'Ohm', '/meter', reader) : UNKNOWN_METER.Ohm
  return given({
    kind: body.kind,
    ...optional('sounderOhm', body.sounderResistance, 'Ohm', '/sounderResistance'),
    sounders: body.sounders,
    ...optional('endOfLineOhm', body.endOfLine, 'Ohm', '/endOfLine'),
    toleranceFraction: body.tolerance,
    ...optional('wireOhm', body.wire, 'Ohm', '/wire'),
    ...optional('driveVoltageV', body.driveVoltage, 'V', '/driveVoltage'),
    ...optional('sounderCurrentA', body.sounderCurrent, 'A', '/sounderCurrent'),
    ...optional('outputLimitA', body.outputLimit, 'A', '/outputLimit'),
    measured: ohm === undefined ? undefined : { ohm, boundAbsolute: limitOfError(ohm, error) },
  }) as SounderInput
}

export const circuitSounderCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, SounderInput> = {
  path: '/v1/circuits/sounder',
  operationId: 'analyseSounder',
  batchId: 'analyseSounders',
  tag: 'circuits',
  summary: 'What a supervised siren circuit reads in each state, and what it draws in alarm',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = analyseSounder(input)
    const { inAlarm, classification } = result
    return {
      ...accountOf(wording, result),
      readings: result.readings.map(({ state, ohm, forward }) => ({
        state,
        ...(ohm && { resistance: wireInterval(ohm, 'Ohm') }),
        ...(forward === undefined ? {} : { otherWayRound: forward }),
      })),
      ...(inAlarm && {
        inAlarm: {
          current: { value: inAlarm.currentA, unit: 'A' },
          ...(inAlarm.dropV === undefined ? {} : { drop: { value: inAlarm.dropV, unit: 'V' } }),
          ...(inAlarm.sounderV === undefined ? {} : { voltageAtSounder: { value: inAlarm.sounderV, unit: 'V' } }),
          ...(inAlarm.partPowerW === undefined ? {} : { powerInPart: { value: inAlarm.partPowerW, unit: 'W' } }),
          ...(inAlarm.isOverload === undefined ? {} : { isOverload: inAlarm.isOverload }),
        },
      }),
      ...(classification && { classification }),
    }
  },
}
