import { z } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import { wordReading } from '../../../services/interpret-reading.ts'
import type { Wording } from '../../../services/texts.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import { quantityReader } from '../../quantity.ts'
import {
  AmountSchema,
  BASIS_STATED,
  CautionsSchema,
  ONTOLOGY_FIELDS,
  QuantitySchema,
  StepsSchema,
} from '../../schema.ts'
import type { Calculation } from './calculation.ts'

const RequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    reading: z.string().min(3).max(120),
    quantity: QuantitySchema,
    meter: MeterSchema.optional().openapi({ description: "The reading's usual meter is assumed when left out" }),
  })
  .openapi('InterpretReadingRequest', {
    example: {
      reading: 'reading/battery-rest-voltage',
      quantity: { value: 12.1, unit: 'V' },
      meter: { percentOfReading: 0.8, digits: 2, resolution: { value: 10, unit: 'mV' } },
    },
  })

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
    steps: StepsSchema,
    cautions: CautionsSchema,
  })
  .openapi('InterpretReadingAnswer')

function known(wording: Wording, reading: string) {
  const found = wording.release.compiled.readings.find(({ id }) => id === reading)
  if (found) return found
  const detail = `reading must be a reading of release ${wording.release.version}, got ${reading}`
  throw new DomainError('UNKNOWN_ID', detail, { path: '/reading', value: reading })
}

export const readingCalculation: Calculation<typeof RequestSchema, typeof AnswerSchema> = {
  path: '/v1/readings/interpret',
  operationId: 'interpretReading',
  batchId: 'interpretReadings',
  tag: 'readings',
  summary: "A meter reading against its bands, with the meter's own error",
  request: RequestSchema,
  answer: AnswerSchema,
  compute: (wording, { reading, quantity, meter }) => {
    const { unit } = known(wording, reading)
    return wordReading(wording, {
      reading,
      value: quantityReader.required(quantity, unit, '/quantity'),
      ...(meter === undefined ? {} : { meter: readMeter(meter, unit, '/meter') }),
    })
  },
}
