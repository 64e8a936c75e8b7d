import { createRoute, type OpenAPIHono, z } from '@hono/zod-openapi'
import { DomainError } from '../../../domain/errors.ts'
import { wordReading } from '../../../services/interpret-reading.ts'
import type { ReleaseShelf } from '../../../services/release-shelf.ts'
import { batchAnswer, batchRequest, runBatch } from '../../batch.ts'
import { wordingFor } from '../../edition.ts'
import type { AppEnv } from '../../env.ts'
import { MeterSchema, readMeter } from '../../meter.ts'
import { requireAccept } from '../../middleware/accept.ts'
import { quantityReader } from '../../quantity.ts'
import {
  AmountSchema,
  BASIS_STATED,
  BODY_PROBLEMS,
  CautionsSchema,
  json,
  jsonBody,
  ONTOLOGY_FIELDS,
  QuantitySchema,
  StepsSchema,
} from '../../schema.ts'

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
type Request = z.infer<typeof RequestSchema>

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

const common = {
  method: 'post' as const,
  tags: ['readings'],
  middleware: requireAccept('application/json'),
}
const route = createRoute({
  ...common,
  path: '/v1/readings/interpret',
  operationId: 'interpretReading',
  summary: "A meter reading against its bands, with the meter's own error",
  request: jsonBody(RequestSchema),
  responses: { 200: json(AnswerSchema, 'Bands with probabilities'), ...BODY_PROBLEMS },
})
const batchRoute = createRoute({
  ...common,
  path: '/v1/readings/interpret/batch',
  operationId: 'interpretReadings',
  summary: 'Many meter readings at once',
  request: jsonBody(batchRequest(RequestSchema)),
  responses: { 200: json(batchAnswer(AnswerSchema), 'A value or a problem for each, in order'), ...BODY_PROBLEMS },
})

export function registerReadings(app: OpenAPIHono<AppEnv>, shelf: ReleaseShelf): void {
  async function answer(c: Parameters<typeof wordingFor>[0], body: Request) {
    const wording = await wordingFor(c, shelf, body)
    const known = wording.release.compiled.readings.find(({ id }) => id === body.reading)
    if (!known)
      throw new DomainError(
        'UNKNOWN_ID',
        `reading must be a reading of release ${wording.release.version}, got ${body.reading}`,
        { path: '/reading', value: body.reading },
      )
    return wordReading(wording, {
      reading: body.reading,
      value: quantityReader.required(body.quantity, known.unit, '/quantity'),
      ...(body.meter === undefined ? {} : { meter: readMeter(body.meter, known.unit, '/meter') }),
    })
  }
  app.openapi(route, async (c) => c.json(await answer(c, c.req.valid('json')), 200))
  app.openapi(batchRoute, async (c) =>
    c.json(await runBatch(c.req.valid('json').items, (item) => answer(c, item)), 200),
  )
}
