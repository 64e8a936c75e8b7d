import { z } from '@hono/zod-openapi'
import type { Interval } from '../../../domain/circuits/interval.ts'
import { analyseLoop, type LoopInput } from '../../../domain/circuits/loop.ts'
import { LOOP_SCHEMES } from '../../../domain/circuits/loop-types.ts'
import { given } from '../../../domain/given.ts'
import { limitOfError } from '../../../domain/readings/interpret.ts'
import { drawLoop } from '../../../services/drawings/loop-circuit.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'
import { UNKNOWN_METER } from './unknown-meter.ts'

const Tolerance = z.number().min(0).max(0.5).optional()

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    scheme: z.enum(LOOP_SCHEMES),
    contact: z.enum(['normally-closed', 'normally-open']).default('normally-closed'),
    endOfLine: QuantitySchema.optional(),
    alarmPart: QuantitySchema.optional().openapi({ description: 'Part at the contact: double and triple schemes' }),
    faultPart: QuantitySchema.optional().openapi({ description: 'Part at the fault contact: triple scheme' }),
    tolerance: Tolerance.openapi({ description: 'Fraction; 0.05 when left out' }),
    wire: QuantitySchema.optional().openapi({ description: 'There and back, splices included' }),
    contacts: QuantitySchema.optional().openapi({ description: 'All closed contacts together' }),
    leakage: QuantitySchema.optional().openapi({ description: 'Across the pair' }),
    supply: QuantitySchema.optional(),
    supplyTolerance: Tolerance,
    pullUp: QuantitySchema.optional(),
    pullUpTolerance: Tolerance,
    thresholds: z.array(QuantitySchema).max(5).optional().openapi({ description: 'Resistance between states, rising' }),
    measured: QuantitySchema.optional().openapi({
      description: 'Ohms with the wires lifted, or volts at the terminals',
    }),
    meter: MeterSchema.optional(),
  })
  .openapi('AnalyseLoopRequest', {
    example: {
      scheme: 'single',
      contact: 'normally-closed',
      endOfLine: { value: 4.7, unit: 'kOhm' },
      wire: { value: 12, unit: 'Ohm' },
      measured: { value: 5.52, unit: 'kOhm' },
    },
  })

const IntervalSchema = z
  .object({ low: AmountSchema.optional(), high: AmountSchema.optional() })
  .openapi('Interval', { description: 'Without an end: open circuit' })
const State = z.enum(['short', 'normal', 'alarm', 'fault', 'alarm-and-fault', 'open'])
const AnswerSchema = z
  .object({
    ...ACCOUNT,
    states: z.array(
      z.object({ state: State, meaning: z.string(), resistance: IntervalSchema, voltage: IntervalSchema.optional() }),
    ),
    boundaries: z.array(z.object({ below: State, above: State, threshold: AmountSchema, ratioMargin: z.number() })),
    thresholdsBy: z.enum(['given', 'geometric-mean']),
    largestSeries: AmountSchema.optional().openapi({ description: 'Most wire and splice before normal is misread' }),
    smallestLeakage: AmountSchema.optional().openapi({ description: 'Least leakage before normal is misread' }),
    alarmMaskedBelow: AmountSchema.optional().openapi({ description: 'Leakage below this hides an alarm' }),
    classification: z
      .object({
        resistance: IntervalSchema,
        possible: z.array(State),
        verdict: z.enum(['clear', 'cannot-tell', 'between-states']),
        text: z.string(),
      })
      .optional(),
  })
  .openapi('AnalyseLoopAnswer')

type Body = z.infer<typeof RequestSchema>

function measuredOf({ measured, meter }: Body, reader: QuantityReader): Pick<LoopInput, 'measured'> {
  if (measured === undefined) return {}
  const isVoltage = /V$/.test(measured.unit)
  const unit = isVoltage ? 'V' : 'Ohm'
  const value = reader.required(measured, unit, '/measured')
  const error = meter ? readMeter(meter, unit, '/meter', reader) : UNKNOWN_METER[unit]
  return { measured: { value, unit, boundAbsolute: limitOfError(value, error) } }
}

function toInput(body: Body, reader: QuantityReader): LoopInput {
  const { required, optional } = reader
  return given({
    scheme: body.scheme,
    contact: body.contact,
    ...optional('endOfLineOhm', body.endOfLine, 'Ohm', '/endOfLine'),
    ...optional('alarmOhm', body.alarmPart, 'Ohm', '/alarmPart'),
    ...optional('faultOhm', body.faultPart, 'Ohm', '/faultPart'),
    ...optional('wireOhm', body.wire, 'Ohm', '/wire'),
    ...optional('contactOhm', body.contacts, 'Ohm', '/contacts'),
    ...optional('leakageOhm', body.leakage, 'Ohm', '/leakage'),
    ...optional('supplyV', body.supply, 'V', '/supply'),
    ...optional('pullUpOhm', body.pullUp, 'Ohm', '/pullUp'),
    toleranceFraction: body.tolerance,
    supplyToleranceFraction: body.supplyTolerance,
    pullUpToleranceFraction: body.pullUpTolerance,
    thresholdsOhm: body.thresholds?.map((threshold, index) => required(threshold, 'Ohm', `/thresholds/${index}`)),
    ...measuredOf(body, reader),
  }) as LoopInput
}

/** An end that is infinite is left out: JSON has no number for it. */
export function wireInterval({ low, high }: Interval, unit: string) {
  return {
    ...(Number.isFinite(low) ? { low: { value: low, unit } } : {}),
    ...(Number.isFinite(high) ? { high: { value: high, unit } } : {}),
  }
}
const ohm = (value: number) => ({ value, unit: 'Ohm' })

export const circuitLoopCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, LoopInput> = {
  path: '/v1/circuits/loop',
  operationId: 'analyseLoop',
  batchId: 'analyseLoops',
  tag: 'circuits',
  summary: 'What a supervised loop reads in each state, and what a reading may mean',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = analyseLoop(input)
    const { classification, largestSeriesOhm, smallestLeakageOhm, alarmMaskedBelowOhm } = result
    return {
      ...accountOf(wording, result),
      states: result.states.map(({ state, meaning, ohm: resistance, voltage }) => ({
        state,
        meaning,
        resistance: wireInterval(resistance, 'Ohm'),
        ...(voltage && { voltage: wireInterval(voltage, 'V') }),
      })),
      boundaries: result.boundaries.map(({ thresholdOhm, ...boundary }) => ({
        ...boundary,
        threshold: ohm(thresholdOhm),
      })),
      thresholdsBy: result.thresholdsBy,
      ...(largestSeriesOhm === undefined ? {} : { largestSeries: ohm(largestSeriesOhm) }),
      ...(smallestLeakageOhm === undefined ? {} : { smallestLeakage: ohm(smallestLeakageOhm) }),
      ...(alarmMaskedBelowOhm === undefined ? {} : { alarmMaskedBelow: ohm(alarmMaskedBelowOhm) }),
      ...(classification && {
        classification: {
          resistance: wireInterval(classification.ohm, 'Ohm'),
          possible: classification.possible,
          verdict: classification.verdict,
          text: classification.text,
        },
      }),
    }
  },
  draw: (input) => drawLoop(input, analyseLoop(input)),
}
