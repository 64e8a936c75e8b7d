import { z } from '@hono/zod-openapi'
import { AmountSchema, BASIS_STATED } from '../../schema.ts'

const Rate = z
  .number()
  .openapi({ description: 'Probability that the cause is there in a call, before anything is known' })
const Weighed = (description: string) => z.number().openapi({ description: `${description}; older ones count less` })

export const RateSettingsSchema = z
  .strictObject({
    learning: z.boolean().openapi({ description: 'False: "learned" answers as published' }),
    pooling: z.boolean().openapi({
      description:
        'Consent to put the counts of this shop together with those of others, and to learn from theirs. Withdrawn, they leave at once; what others had learned by then stays, as rates of two digits.',
    }),
    countsFrom: z.iso.datetime({ offset: true }).nullable().openapi({
      description: 'Outcomes closed before it do not count: set it to now for a fresh start; null for all',
    }),
  })
  .openapi('RateSettings', { example: { learning: true, pooling: false, countsFrom: null } })

const ScoreSchema = z.object({
  value: z.number(),
  low: z.number().optional(),
  high: z.number().optional(),
})
const CalibrationSchema = z
  .object({
    rates: z.enum(['published', 'learned']).openapi({ description: 'Rates that were held when the calls were closed' }),
    calls: z.number().int(),
    forecasts: z.number().int(),
    brier: ScoreSchema.openapi({ description: 'Mean squared miss, 95 % limits with calls as units; 0 is perfect' }),
    logScore: ScoreSchema.openapi({
      description: 'Mean surprise in nat, 95 % limits with calls as units; 0 is perfect',
    }),
    parts: z
      .object({
        reliability: z.number(),
        resolution: z.number(),
        uncertainty: z.number(),
        withinBins: z.number(),
      })
      .openapi({ description: 'brier = reliability - resolution + uncertainty + withinBins' }),
    bins: z.array(
      z.object({
        from: z.number(),
        to: z.number(),
        count: z.number().int(),
        meanProbability: z.number(),
        happened: z.number().int(),
        share: z.number(),
        low: z.number().openapi({ description: 'Exact 95 % limits of the share' }),
        high: z.number(),
      }),
    ),
  })
  .openapi('Calibration')

const LearnedCauseSchema = z
  .object({
    cause: z.string(),
    label: z.string(),
    published: Rate,
    pooled: Rate.optional(),
    learned: Rate,
    low: z.number().openapi({ description: '90 % credible interval' }),
    high: z.number(),
    factor: z.number().openapi({ description: 'learned / published' }),
    confirmed: Weighed('Confirmed cases'),
    claimed: Weighed('Times it was named without enough to count it'),
    known: Weighed('Calls, or devices in calls, whose causes are known'),
    unknown: Weighed('Those whose causes are not; there the rate stays as it was held before'),
    priorWorth: z.number().openapi({ description: 'Calls that the rate held before is worth' }),
  })
  .openapi('LearnedCause')

export const RatesAnswerSchema = z
  .object({
    ...BASIS_STATED,
    settings: RateSettingsSchema,
    rules: z
      .object({
        basis: z.literal('judgement'),
        halfLife: AmountSchema,
        priorCases: z.number(),
        leastStrength: z.number(),
        intervalLevel: z.number(),
        pool: z.object({
          leastShops: z.number(),
          leastCallsOfShop: z.number(),
          mostShareOfShop: z.number(),
          leastOtherShopsOfCause: z.number(),
        }),
      })
      .openapi({ description: 'The figures that the rates are made with' }),
    calls: z.object({
      known: z.number().int().openapi({ description: 'Closed calls whose causes are known' }),
      unknown: z.number().int().openapi({ description: 'Closed calls whose causes are not' }),
      weighedKnown: z.number(),
      weighedUnknown: z.number(),
    }),
    causes: z.array(LearnedCauseSchema),
    confirmations: z
      .array(z.object({ cause: z.string(), confirmed: z.number().int(), claimed: z.number().int() }))
      .openapi({ description: 'Whole counts, under the ids that were confirmed' }),
    notCounted: z.array(z.object({ reason: z.string(), count: z.number().int(), why: z.string() })),
    frozen: z
      .array(z.object({ cause: z.string(), confirmed: z.number(), into: z.array(z.string()) }))
      .openapi({ description: 'Causes that the ontology split: their counts teach neither part' }),
    pool: z.object({ isUsed: z.boolean(), causes: z.number().int() }),
    calibration: z.array(CalibrationSchema).openapi({ description: 'Of the newest 200 confirmed calls' }),
  })
  .openapi('RatesAnswer')

const Exposure = z.object({ known: z.number().int(), unknown: z.number().int() })
export const KeptSetSchema = z
  .object({
    ...BASIS_STATED,
    set: z
      .object({
        month: z.number().int().openapi({ description: 'Months since January 1970 that ages are taken from' }),
        tally: z.object({
          months: z.array(
            z.object({
              month: z.number().int(),
              calls: Exposure,
              devices: Exposure,
              causes: z.array(
                z.object({
                  cause: z.string(),
                  confirmed: z.number().int(),
                  claimed: z.number().int().optional(),
                  claimedAmongKnown: z.number().int().optional(),
                }),
              ),
            }),
          ),
          notCounted: z.array(z.object({ reason: z.string(), count: z.number().int() })),
        }),
        pooled: z.array(z.object({ cause: z.string(), rate: z.number() })),
      })
      .openapi({
        description: 'As it was kept: counts, and rates of the pool. sha256 is that of this as compact JSON',
      }),
    rates: z.array(z.object({ cause: z.string(), rate: Rate })).openapi({ description: 'What follows from it' }),
  })
  .openapi('KeptRates')
