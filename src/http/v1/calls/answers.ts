import { z } from '@hono/zod-openapi'
import { STEP_KINDS } from '../../../domain/calls/state.ts'
import { AmountSchema, BASIS_STATED, BasisSchema } from '../../schema.ts'
import { DiagnoseAnswerSchema, FindingSchema } from '../diagnose/schema.ts'
import {
  AttemptOutcomeSchema,
  ClosingAnswerSchema,
  ConclusionSchema,
  ConfirmedSchema,
  ReachBySchema,
  ReopenReasonSchema,
  SkipReasonSchema,
  SpeakerSchema,
} from './fields.ts'

/** What calls answer. */

const Time = z.iso.datetime()
const logged = { seq: z.number().int(), at: Time }
const said = { ...logged, by: SpeakerSchema }

const FoundSchema = z.object({
  ...said,
  finding: FindingSchema,
  isWithdrawn: z.boolean().openapi({ description: 'It is in the log, and counts no more' }),
})
const StepSchema = z
  .object({
    ...said,
    kind: z.enum(STEP_KINDS),
    check: z.string().optional(),
    remedy: z.string().optional(),
    device: z.string().optional(),
    result: z.string().optional(),
    reason: SkipReasonSchema.optional(),
    finding: z.number().int().optional().openapi({
      description: 'Place among the findings: of the one that was withdrawn, or of a remedy that was tried',
    }),
  })
  .openapi('CallStep')
const AdvisedSchema = z
  .object({
    ...logged,
    basis: BasisSchema,
    language: z.string(),
    stop: z.string().nullable(),
    causes: z.array(
      z.object({
        cause: z.string(),
        device: z.string().optional(),
        label: z.string(),
        shown: z.number(),
        word: z.string(),
      }),
    ),
    checks: z.array(z.object({ check: z.string(), device: z.string().optional() })),
    remedies: z.array(z.string()),
    path: z.string().openapi({ description: 'Where the whole answer is' }),
  })
  .openapi('CallAdvised')
const ClosingQuestionSchema = z.object({
  ask: z.string(),
  answers: z.array(z.object({ answer: ClosingAnswerSchema, label: z.string() })),
  from: Time.openapi({ description: 'When to ask at the earliest' }),
  until: Time,
})

export const CallSchema = z
  .object({
    call: z.string(),
    path: z.string(),
    seq: z.number().int().openapi({ description: 'Number of the last event; the ETag is this in quotes' }),
    status: z.enum(['open', 'closed']),
    release: z.string().openapi({ description: 'Release of the ontology that the call is pinned to' }),
    openedAt: Time,
    changedAt: Time,
    siteRef: z.string().optional(),
    contactRef: z.string().optional(),
    reachBy: ReachBySchema.optional(),
    callbackDue: Time.optional(),
    findings: z.array(FoundSchema),
    steps: z.array(StepSchema),
    advice: z.array(AdvisedSchema),
    notes: z.array(z.object({ ...said, text: z.string(), isRedacted: z.boolean() })),
    attempts: z.array(z.object({ ...logged, reachBy: ReachBySchema, outcome: AttemptOutcomeSchema })),
    outcome: z
      .object({
        ...logged,
        conclusion: ConclusionSchema,
        confirmed: z.array(ConfirmedSchema),
        remedy: z.string().optional(),
        closingQuestion: ClosingQuestionSchema,
      })
      .optional(),
    followUps: z.array(z.object({ ...said, answer: ClosingAnswerSchema })),
    reopened: z.array(z.object({ ...logged, reason: ReopenReasonSchema })),
  })
  .openapi('Call')
export type CallBody = z.infer<typeof CallSchema>

export const HeadSchema = z
  .object({
    call: z.string(),
    path: z.string(),
    seq: z.number().int(),
    status: z.enum(['open', 'closed']),
    release: z.string(),
    openedAt: Time,
    changedAt: Time,
    siteRef: z.string().optional(),
    contactRef: z.string().optional(),
    callbackDue: Time.optional(),
  })
  .openapi('CallHead')
export const CallPageSchema = z
  .object({
    items: z.array(HeadSchema),
    next: z.string().optional().openapi({ description: 'Cursor of the next page; absent on the last' }),
  })
  .openapi('CallPage')

export const AdviceSchema = z
  .object({ call: z.string(), seq: z.number().int(), at: Time, answer: DiagnoseAnswerSchema })
  .openapi('CallAdvice')

const Pair = (value: z.ZodType) => z.object({ before: value, after: value })
const ListPair = Pair(z.array(z.string())).optional()
export const ReplaySchema = z
  .object({
    call: z.string(),
    seq: z.number().int().openapi({ description: 'The answer that was given again' }),
    stored: BasisSchema,
    now: BasisSchema,
    isOtherEngine: z.boolean(),
    isOtherRelease: z.boolean(),
    isOtherRates: z.boolean().openapi({
      description: 'Only where the set of rates that the stored answer rests on is gone; the published ones stand in',
    }),
    sentence: z.string(),
    isSame: z.boolean(),
    stop: Pair(z.string().nullable()).optional(),
    causes: z.array(
      z.object({
        cause: z.string(),
        device: z.string().optional(),
        before: z.number().optional(),
        after: z.number().optional(),
      }),
    ),
    checks: ListPair,
    remedies: ListPair,
  })
  .openapi('CallReplay')

export const EventPageSchema = z
  .object({
    items: z.array(z.looseObject({ seq: z.number().int(), at: Time, kind: z.string() })),
    next: z.string().optional(),
  })
  .openapi('CallEventPage')

export const RelatedSchema = z
  .object({
    siteRef: z.string().optional(),
    calls: z.array(HeadSchema.extend({ shared: z.array(z.string()), concepts: z.array(z.string()) })),
    recurring: z
      .array(z.object({ concept: z.string(), label: z.string(), calls: z.number().int() }))
      .openapi({ description: 'Conditions and confirmed causes of this call that other calls of the site have too' }),
  })
  .openapi('RelatedCalls')

export const NoticesSchema = z
  .object({
    ...BASIS_STATED,
    call: z.string(),
    asOf: Time,
    longerThan: AmountSchema,
    items: z.array(
      z.object({
        condition: z.string(),
        device: z.string().optional(),
        label: z.string(),
        from: Time,
        until: Time.optional(),
        lasted: AmountSchema,
        protection: z.string(),
        texts: z.object({ monitoringCenter: z.string(), insurer: z.string() }),
      }),
    ),
  })
  .openapi('CallNotices')
