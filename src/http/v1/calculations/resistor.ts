import { z } from '@hono/zod-openapi'
import { SERIES } from '../../../domain/circuits/preferred-values.ts'
import { identifyResistor, type ResistorInput } from '../../../domain/circuits/resistor.ts'
import { given } from '../../../domain/given.ts'
import { limitOfError } from '../../../domain/readings/interpret.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import type { QuantityReader } from '../../quantity.ts'
import { AmountSchema, ONTOLOGY_FIELDS, type Quantity, QuantitySchema } from '../../schema.ts'
import { ACCOUNT, accountOf, type Calculation } from './calculation.ts'
import { wireInterval } from './circuit-loop.ts'
import { UNKNOWN_METER } from './unknown-meter.ts'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    bands: z.array(z.string().max(20).nullable()).min(1).max(6).optional().openapi({
      description: 'Colours from one end; null for a band that cannot be read',
    }),
    letters: z.string().max(12).optional().openapi({ description: 'Letter code such as 4K7J' }),
    resistance: QuantitySchema.optional(),
    measured: QuantitySchema.optional(),
    meter: MeterSchema.optional(),
    wire: QuantitySchema.optional().openapi({ description: 'Wire between meter and part' }),
    fitted: z.array(QuantitySchema).max(60).optional().openapi({ description: 'Values that may be fitted' }),
    series: z.enum(SERIES).optional(),
    tolerance: z.number().min(0).max(0.5).optional(),
    stock: z
      .array(QuantitySchema)
      .max(60)
      .optional()
      .openapi({ description: 'Values at hand to make the wanted one of' }),
    voltage: QuantitySchema.optional(),
    ratedPower: QuantitySchema.optional(),
  })
  .openapi('IdentifyResistorRequest', { example: { bands: ['yellow', 'violet', 'red', 'gold'] } })

const AnswerSchema = z
  .object({
    ...ACCOUNT,
    bands: z
      .object({
        candidates: z.array(
          z.object({
            bands: z.array(z.string()),
            isReversed: z.boolean(),
            resistance: AmountSchema,
            tolerance: z.number(),
            coefficientPpmPerK: z.number().optional(),
            isPreferred: z.boolean(),
          }),
        ),
        verdict: z.enum(['clear', 'ambiguous', 'none']),
      })
      .optional(),
    letters: z.object({ resistance: AmountSchema, tolerance: z.number().optional() }).optional(),
    asBands: z.array(z.string()).optional(),
    asLetters: z.string().optional(),
    nearest: z.object({ series: z.enum(SERIES), resistance: AmountSchema }).optional(),
    fitted: z
      .object({
        resistance: z.object({ low: AmountSchema.optional(), high: AmountSchema.optional() }),
        candidates: z.array(AmountSchema),
        verdict: z.enum(['identified', 'cannot-tell', 'not-a-lone-part']),
      })
      .optional(),
    combinations: z
      .array(
        z.object({
          parts: z.array(AmountSchema),
          how: z.enum(['one', 'series', 'parallel']),
          resistance: AmountSchema,
          errorFraction: z.number(),
        }),
      )
      .optional(),
    power: z.object({ dissipated: AmountSchema, fractionOfRating: z.number().optional() }).optional(),
  })
  .openapi('IdentifyResistorAnswer')

const ohm = (value: number) => ({ value, unit: 'Ohm' })
const ohmsOf = (list: Quantity[] | undefined, pointer: string, reader: QuantityReader) =>
  list?.map((quantity, index) => reader.required(quantity, 'Ohm', `${pointer}/${index}`))

/** Readings kept for an answer: more candidates than a person looks at are cut. */
const MOST_CANDIDATES = 20

function measuredOf(
  { measured, meter, wire }: z.infer<typeof RequestSchema>,
  reader: QuantityReader,
): Pick<ResistorInput, 'measured'> {
  if (measured === undefined) return {}
  const { required, optional } = reader
  const value = required(measured, 'Ohm', '/measured')
  const error = meter ? readMeter(meter, 'Ohm', '/meter', reader) : UNKNOWN_METER.Ohm
  return {
    measured: { ohm: value, boundOhm: limitOfError(value, error), ...optional('wireOhm', wire, 'Ohm', '/wire') },
  }
}

function toInput(body: z.infer<typeof RequestSchema>, reader: QuantityReader): ResistorInput {
  const { optional } = reader
  return given({
    bands: body.bands,
    letters: body.letters,
    ...optional('ohm', body.resistance, 'Ohm', '/resistance'),
    ...measuredOf(body, reader),
    fittedOhm: ohmsOf(body.fitted, '/fitted', reader),
    series: body.series,
    toleranceFraction: body.tolerance,
    stockOhm: ohmsOf(body.stock, '/stock', reader),
    ...optional('voltageV', body.voltage, 'V', '/voltage'),
    ...optional('ratedPowerW', body.ratedPower, 'W', '/ratedPower'),
  }) as ResistorInput
}

export const resistorCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, ResistorInput> = {
  path: '/v1/resistors/identify',
  operationId: 'identifyResistor',
  batchId: 'identifyResistors',
  tag: 'circuits',
  summary: 'Which resistor it is, by bands, letters or a meter; and what stands in for a value',
  request: RequestSchema,
  answer: AnswerSchema,
  read: toInput,
  compute: (wording, input) => {
    const result = identifyResistor(input)
    const { bands, letters, nearest, fitted, combinations, power, asBands, asLetters } = result
    return {
      ...accountOf(wording, result),
      ...(bands && {
        bands: {
          candidates: bands.candidates.slice(0, MOST_CANDIDATES).map((found) => ({
            bands: found.bands,
            isReversed: found.isReversed,
            resistance: ohm(found.ohm),
            tolerance: found.toleranceFraction,
            ...(found.ppmPerK === undefined ? {} : { coefficientPpmPerK: found.ppmPerK }),
            isPreferred: found.isPreferred,
          })),
          verdict: bands.verdict,
        },
      }),
      ...(letters && {
        letters: {
          resistance: ohm(letters.ohm),
          ...(letters.toleranceFraction === undefined ? {} : { tolerance: letters.toleranceFraction }),
        },
      }),
      ...(asBands && { asBands }),
      ...(asLetters === undefined ? {} : { asLetters }),
      ...(nearest && { nearest: { series: nearest.series, resistance: ohm(nearest.ohm) } }),
      ...(fitted && {
        fitted: {
          resistance: wireInterval(fitted.ohm, 'Ohm'),
          candidates: fitted.candidatesOhm.slice(0, MOST_CANDIDATES).map(ohm),
          verdict: fitted.verdict,
        },
      }),
      ...(combinations && {
        combinations: combinations.map(({ parts, how, ohm: made, errorFraction }) => ({
          parts: parts.map(ohm),
          how,
          resistance: ohm(made),
          errorFraction,
        })),
      }),
      ...(power && {
        power: {
          dissipated: { value: power.powerW, unit: 'W' },
          ...(power.fractionOfRating === undefined ? {} : { fractionOfRating: power.fractionOfRating }),
        },
      }),
    }
  },
}
