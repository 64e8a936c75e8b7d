import { z } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import { limitOfError } from '../../../domain/readings/interpret.ts'
import type { Observation } from '../../../domain/readings/observed.ts'
import type { Reading } from '../../../ontology/shape.ts'
import { type ReadingQuestion, wordReading } from '../../../services/interpret-reading.ts'
import type { Wording } from '../../../services/texts.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import type { QuantityReader } from '../../quantity.ts'
import {
  AmountSchema,
  BASIS_STATED,
  CautionsSchema,
  ONTOLOGY_FIELDS,
  QuantitySchema,
  StepsSchema,
  WouldChangeSchema,
} from '../../schema.ts'
import type { Calculation } from './calculation.ts'
import { UNKNOWN_METER } from './unknown-meter.ts'

/** What a mobile part shows instead of dBm. */
const SIGNAL_QUALITY = 'CSQ'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    reading: z.string().min(3).max(120),
    quantity: QuantitySchema.openapi({
      description: `In any unit of the reading; a radio level also as signal quality 0 to 31 in the unit ${SIGNAL_QUALITY}`,
    }),
    meter: MeterSchema.optional().openapi({ description: "The reading's usual meter is assumed when left out" }),
    distance: QuantitySchema.optional().openapi({
      description: 'From the sounder to the meter, for a sound level; that of the reading when left out',
    }),
    thermistor: z
      .strictObject({ nominalResistance: QuantitySchema, beta: z.number() })
      .optional()
      .openapi({ description: 'For a temperature read in ohms: resistance at 25 degrees C and B constant in kelvin' }),
  })
  .openapi('InterpretReadingRequest', {
    example: {
      reading: 'reading/battery-rest-voltage',
      quantity: { value: 12.1, unit: 'V' },
      meter: { percentOfReading: 0.8, digits: 2, resolution: { value: 10, unit: 'mV' } },
    },
  })
type Body = z.infer<typeof RequestSchema>

const AnswerSchema = z
  .object({
    ...BASIS_STATED,
    reading: z.object({ id: z.string(), label: z.string(), point: z.string(), state: z.string() }),
    rest: z.string().openapi({ description: 'How long the thing measured must have been left alone' }),
    destroys: z.string(),
    between: z.object({ low: AmountSchema, high: AmountSchema }),
    verdict: z.enum(['clear', 'cannot-tell']),
    possible: z.array(z.string()).openapi({ description: "Bands that the meter's limit of error leaves possible" }),
    bands: z.array(z.object({ band: z.string(), label: z.string(), isHealthy: z.boolean(), probability: z.number() })),
    advice: z.string(),
    speaksFor: z.array(z.object({ cause: z.string(), label: z.string(), likelihoodRatio: z.number() })),
    next: z
      .array(z.object({ check: z.string(), label: z.string(), ask: z.string(), who: z.string() }))
      .openapi({ description: 'What tells the same causes apart by other means' }),
    exposure: z
      .object({ recommended: AmountSchema, legal: AmountSchema, caution: z.string() })
      .optional()
      .openapi({ description: 'How long the sound may be borne in a day where the meter stood, by two limits' }),
    steps: StepsSchema,
    wouldChange: WouldChangeSchema,
    cautions: CautionsSchema,
  })
  .openapi('InterpretReadingAnswer')

function known({ release }: Wording, reading: string): Reading {
  const found = release.ontology.reading.find(({ id }) => id === reading)
  if (found) return found
  const detail = `reading must be a reading of release ${release.version}, got ${reading}`
  throw new DomainError('UNKNOWN_ID', detail, { path: '/reading', value: reading })
}

/** Fields that only some readings know are refused at the others. */
function refuseUnless(
  holds: boolean,
  field: 'distance' | 'thermistor' | 'meter',
  kind: string,
  reading: Reading,
): void {
  if (holds) return
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `${field} only goes with ${kind}, which this is not`, {
    path: `/${field}`,
    limit: kind,
    value: reading.id,
  })
}

function observationOf(body: Body, reading: Reading, reader: QuantityReader): Observation | undefined {
  const { quantity, distance, thermistor, meter } = body
  const { required } = reader
  refuseUnless(distance === undefined || reading.quantity === 'sound-level', 'distance', 'a sound level', reading)
  refuseUnless(thermistor === undefined || reading.quantity === 'temperature', 'thermistor', 'a temperature', reading)
  if (reading.quantity === 'signal-level' && quantity.unit === SIGNAL_QUALITY) {
    refuseUnless(meter === undefined, 'meter', 'a measured level', reading)
    return { kind: 'signal-quality', csq: quantity.value }
  }
  if (distance)
    return {
      kind: 'sound-level',
      levelDb: required(quantity, 'dB', '/quantity'),
      distanceM: required(distance, 'm', '/distance'),
    }
  if (!thermistor) return undefined
  const ohm = required(quantity, 'Ohm', '/quantity')
  return {
    kind: 'thermistor',
    ohm,
    nominalOhm: required(thermistor.nominalResistance, 'Ohm', '/thermistor/nominalResistance'),
    betaK: thermistor.beta,
    boundOhm: limitOfError(ohm, meter ? readMeter(meter, 'Ohm', '/meter', reader) : UNKNOWN_METER.Ohm),
  }
}

function toQuestion(body: Body, reader: QuantityReader, wording: Wording): ReadingQuestion {
  const reading = known(wording, body.reading)
  const observation = observationOf(body, reading, reader)
  const isProbe = observation?.kind === 'thermistor'
  return {
    reading: reading.id,
    seen: observation ?? reader.required(body.quantity, reading.unit, '/quantity'),
    ...(body.meter === undefined || isProbe ? {} : { meter: readMeter(body.meter, reading.unit, '/meter', reader) }),
  }
}

export const readingCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema, ReadingQuestion> = {
  path: '/v1/readings/interpret',
  operationId: 'interpretReading',
  batchId: 'interpretReadings',
  tag: 'readings',
  summary: "A meter reading against its bands, with the meter's own error",
  request: RequestSchema,
  answer: AnswerSchema,
  read: toQuestion,
  compute: wordReading,
}
