import { z } from '@hono/zod-openapi'
import { TESTS } from '../../../domain/histories/types.ts'
import { LIMITS } from '../../limits.ts'
import { AmountSchema, BASIS_STATED, ONTOLOGY_FIELDS, QuantitySchema, WouldChangeSchema } from '../../schema.ts'

const Name = z.string().min(1).max(120)
const CLOCK = /^(?:[01]\d|2[0-3]):[0-5]\d$/
const Moment = z.iso.datetime({ offset: true })
const Words = z.array(z.string().min(1).max(40)).min(1).max(20)

const EventSchema = z
  .strictObject({
    at: z.string().min(1).max(40).openapi({
      description: 'ISO 8601, with or without an offset; without one it is the local time of the place',
    }),
    condition: Name.optional(),
    scheme: z.string().min(1).max(40).optional(),
    code: z.string().min(1).max(20).optional().openapi({ description: 'Code of the scheme, in place of a condition' }),
    state: z.enum(['trouble', 'restore']).optional().openapi({
      description: 'Needed unless the code is one that reports a restoral',
    }),
    device: z.string().min(1).max(64).optional(),
  })
  .openapi('HistoryEvent')

const ColumnsSchema = z
  .strictObject({
    at: Name.optional(),
    condition: Name.optional(),
    scheme: Name.optional(),
    code: Name.optional(),
    state: Name.optional(),
    device: Name.optional(),
  })
  .openapi({ description: 'Which column or member holds which field; each its own name when left out' })

export const HistoryRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    zone: z.string().min(1).max(64).optional().openapi({
      description: 'IANA name of the zone of the place; times of day follow its summer time',
      example: 'Europe/Madrid',
    }),
    events: z
      .array(EventSchema)
      .min(1)
      .max(LIMITS.historyEvents)
      .optional()
      .openapi({ description: 'In the order of the list; or `csv`, or `ndjson`' }),
    csv: z.string().min(1).optional().openapi({ description: 'The list as RFC 4180 text with a header' }),
    ndjson: z.string().min(1).optional().openapi({ description: 'The list as one JSON object a line' }),
    columns: ColumnsSchema.optional(),
    states: z
      .strictObject({ trouble: Words, restore: Words })
      .optional()
      .openapi({ description: 'What stands for a coming and a going in `csv` and `ndjson`' }),
    scheme: z.string().min(1).max(40).optional().openapi({ description: 'Scheme of codes that name none' }),
    watch: z
      .strictObject({ from: Moment.optional(), to: Moment.optional() })
      .optional()
      .openapi({ description: 'Time over which the list was kept; from its first to its last event when left out' }),
    expectedTime: z.string().regex(CLOCK, 'must be a time such as 03:00').optional().openapi({
      description: 'An hour that was suspected before looking at the list, 24-hour clock',
    }),
    loadCurrent: QuantitySchema.optional().openapi({
      description: 'Current of the system on its battery: the effective capacity follows from mains failures',
    }),
  })
  .openapi('HistoryRequest', {
    example: {
      loadCurrent: { value: 350, unit: 'mA' },
      zone: 'Europe/Madrid',
      scheme: 'dc-05',
      csv: [
        'time,code,state',
        '2026-03-02T03:04,351,E',
        '2026-03-02T03:21,351,R',
        '2026-03-03T03:02,351,E',
        '2026-03-03T03:19,351,R',
        '2026-03-05T03:05,351,E',
        '2026-03-05T03:20,351,R',
        '2026-03-06T03:01,351,E',
        '2026-03-06T03:18,351,R',
        '2026-03-08T03:03,351,E',
        '2026-03-08T03:22,351,R',
        '',
      ].join('\n'),
      columns: { at: 'time' },
      states: { trouble: ['E'], restore: ['R'] },
    },
  })
export type HistoryRequest = z.infer<typeof HistoryRequestSchema>

const TestSchema = z
  .object({
    test: z.enum(TESTS),
    name: z.string(),
    n: z.number().int(),
    statistic: z.number(),
    p: z.number().openapi({ description: 'Probability of as much by accident' }),
    adjustedP: z.number().openapi({ description: 'The same with the number of tests made allowed for' }),
    clear: z.boolean(),
  })
  .openapi('HistoryTest')

const TimeOfDaySchema = z.object({
  days: z.number().int().openapi({ description: 'Days on which something began' }),
  reason: z.enum(['too-few-starts', 'too-few-days']).optional().openapi({ description: 'Why nothing was tested' }),
  meanResultantLength: z.number().openapi({ description: '0: spread over the day; 1: all at one time' }),
  mean: z.string().optional(),
  meanHalfWidth: AmountSchema.optional().openapi({ description: 'Of the 95 % interval of the mean' }),
  window: z
    .object({ from: z.string(), to: z.string(), count: z.number().int() })
    .openapi({ description: 'Shortest stretch of the day with three quarters of the starts' }),
  nightFraction: z.number().openapi({ description: 'Share between 22:00 and 06:00' }),
  rounded: z.boolean().openapi({ description: 'Every time stands on the full hour' }),
  pattern: z.enum(['fixed-hour', 'night', 'part-of-day', 'half-day', 'some-shape']).optional(),
})
const CountSchema = z.object({ count: z.number().int(), duration: AmountSchema })
const OfPairsSchema = z.object({ pairs: z.number(), expected: z.number(), p: z.number() })

const SeriesSchema = z
  .object({
    condition: z.string().optional(),
    scheme: z.string().optional(),
    code: z.string().optional().openapi({ description: 'A code that no one condition answers to' }),
    label: z.string(),
    device: z.string().optional(),
    events: z.number().int(),
    starts: z.number().int(),
    repeats: z.number().int().openapi({ description: 'Reported again while it stood' }),
    restoresKept: z.boolean(),
    standing: z.boolean().openapi({ description: 'The last one has not been reported gone' }),
    intermittent: z.boolean(),
    independentStarts: z.number().int().openapi({ description: 'Each burst taken as one; what the tests rest on' }),
    durations: z.object({
      whole: z.number().int(),
      median: AmountSchema.optional(),
      shortest: AmountSchema.optional(),
      longest: AmountSchema.optional(),
    }),
    burstCount: z.number().int(),
    bursts: z.array(z.object({ first: z.string(), last: z.string(), count: z.number().int() })),
    timeOfDay: TimeOfDaySchema.optional(),
    weekday: z
      .object({ weeks: z.number().int(), meanResultantLength: z.number(), hoursSinceMonday: AmountSchema.optional() })
      .optional(),
    rate: z
      .object({ exposure: AmountSchema, rate: AmountSchema, low: AmountSchema, high: AmountSchema })
      .optional()
      .openapi({ description: 'Of independent starts, with exact 95 % limits' }),
    trend: z
      .object({
        laplaceZ: z.number().openapi({ description: 'Above 0: ever faster' }),
        militaryHandbook: z.object({ chiSquare: z.number(), degreesOfFreedom: z.number().int(), p: z.number() }),
        reversals: OfPairsSchema,
      })
      .optional(),
    change: z
      .object({
        recent: CountSchema,
        before: CountSchema,
        ratio: z.number().optional(),
        lowRatio: z.number(),
        highRatio: z.number().optional(),
      })
      .optional()
      .openapi({ description: 'The last 30 days against up to 90 before; 95 % limits of the ratio' }),
    tests: z.array(TestSchema),
  })
  .openapi('HistorySeries')

const EnduranceSchema = z.object({
  outages: z.number().int(),
  whole: z.number().int().openapi({ description: 'Ran down to the low-battery signal' }),
  median: AmountSchema.optional(),
  slopePerYear: AmountSchema.optional(),
  capacity: z.object({ low: AmountSchema, value: AmountSchema, high: AmountSchema }).optional(),
  atLeast: AmountSchema.optional(),
  test: TestSchema.optional(),
  latest: z.array(
    z.object({
      from: z.string(),
      lasted: AmountSchema,
      endedBy: z.enum(['battery-low', 'mains-restored']),
      capacity: AmountSchema.optional(),
    }),
  ),
})

export const HistoryAnswerSchema = z
  .object({
    ...BASIS_STATED,
    cleaned: z.object({
      received: z.number().int(),
      kept: z.number().int(),
      repeats: z.number().int(),
      impossible: z.number().int().openapi({ description: 'Times that no calendar has' }),
      beforePlausibleYear: z.number().int(),
      outsideWatch: z.number().int(),
      farAway: z.number().int().openapi({ description: 'Years away from the rest of the list' }),
    }),
    clock: z.object({
      timeOfDay: z.enum(['zone', 'as-written', 'utc']),
      order: z.enum(['oldest-first', 'newest-first', 'none']),
      stepsBack: z.number().int(),
      steps: z.array(z.object({ before: z.string(), after: z.string(), back: AmountSchema })),
      inSkippedHour: z.number().int(),
      inRepeatedHour: z.number().int(),
    }),
    watch: z
      .object({ from: z.string(), to: z.string(), fromGiven: z.boolean(), toGiven: z.boolean() })
      .optional()
      .openapi({ description: 'Absent when no event was kept' }),
    series: z.array(SeriesSchema).openapi({ description: 'One for each kind at each device, most events first' }),
    seriesLeftOut: z.number().int(),
    successions: z.array(
      z.object({
        first: z.string(),
        second: z.string(),
        within: AmountSchema,
        windows: z.number().int(),
        followed: z.number().int(),
        chance: z.number().openapi({ description: 'Share of windows in which it would come by accident' }),
        medianLag: AmountSchema.optional(),
        test: TestSchema.optional(),
      }),
    ),
    endurance: EnduranceSchema.optional().openapi({ description: 'How long the battery carried the system' }),
    testsMade: z.number().int(),
    sentences: z.array(z.string()),
    findings: z
      .array(
        z.object({
          finding: z.object({
            kind: z.literal('answer'),
            check: z.string(),
            result: z.string(),
            device: z.string().optional(),
            reliability: z.number(),
            source: z.string(),
          }),
          because: z.string(),
        }),
      )
      .openapi({ description: 'Each `finding` can be sent to POST /v1/diagnose as it is' }),
    validity: z.string(),
    wouldChange: WouldChangeSchema,
  })
  .openapi('HistoryAnswer')
