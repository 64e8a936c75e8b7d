import { z } from '@hono/zod-openapi'
import { LIMITS } from '../../limits.ts'
import { ONTOLOGY_FIELDS } from '../../schema.ts'
import { FindingSchema, LimitsSchema } from '../diagnose/schema.ts'
import {
  AttemptOutcomeSchema,
  ClosingAnswerSchema,
  ConclusionSchema,
  ConfirmedSchema,
  ContactRefSchema,
  DeviceSchema,
  Id,
  NoteSchema,
  ReachBySchema,
  ReopenReasonSchema,
  SiteRefSchema,
  SkipReasonSchema,
  SpeakerSchema,
  TimeSchema,
  TriedResultSchema,
} from './fields.ts'

/** What is sent to calls. */

const CallbackDueSchema = TimeSchema.openapi({ description: 'When the shop means to call back' })

export const CreateCallSchema = z
  .strictObject({
    release: ONTOLOGY_FIELDS.release,
    siteRef: SiteRefSchema.optional(),
    contactRef: ContactRefSchema.optional(),
    reachBy: ReachBySchema.optional(),
    callbackDue: CallbackDueSchema.optional(),
  })
  .openapi('CreateCall', { example: { siteRef: 'site-0147', contactRef: 'contact-88', reachBy: 'voice' } })

export const AddFindingsSchema = z
  .strictObject({ by: SpeakerSchema, findings: z.array(FindingSchema).min(1).max(LIMITS.findings) })
  .openapi('AddFindings', {
    example: {
      by: 'caller',
      findings: [{ kind: 'condition', condition: 'condition/mains-missing', state: 'present' }],
    },
  })

const at = { by: SpeakerSchema, check: Id, device: DeviceSchema.optional() }
const result = { result: z.string().max(64) }
export const RecordStepSchema = z
  .discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('asked'), ...at }),
    z.strictObject({ kind: z.literal('answered'), ...at, ...result }).openapi({
      description: 'What the caller said to a question; counts as a finding',
    }),
    z.strictObject({ kind: z.literal('checked'), ...at, ...result }).openapi({
      description: 'What somebody looked at or measured; counts as a finding',
    }),
    z.strictObject({ kind: z.literal('skipped'), ...at, reason: SkipReasonSchema }),
    z
      .strictObject({
        kind: z.literal('tried'),
        by: SpeakerSchema,
        remedy: Id,
        device: DeviceSchema.optional(),
        result: TriedResultSchema,
      })
      .openapi({ description: 'A remedy that was carried out, and what came of it; counts as a finding' }),
    z.strictObject({ kind: z.literal('withdrawn'), by: SpeakerSchema, finding: z.number().int().min(0) }).openapi({
      description: 'A finding, by its place in the call, that was misheard or mistyped; it stays in the log',
    }),
  ])
  .openapi('RecordStep', {
    example: { kind: 'answered', by: 'caller', check: 'check/see-lights-dim', result: 'steady' },
  })

export const AdviseCallSchema = z
  .strictObject({ language: ONTOLOGY_FIELDS.language, limits: LimitsSchema.optional() })
  .openapi('AdviseCall', { example: { limits: { who: 'handy', tools: ['multimeter'] } } })

export const AddNoteSchema = z
  .strictObject({ by: SpeakerSchema, text: NoteSchema })
  .openapi('AddNote', { example: { by: 'shop', text: 'Is on a ladder now, rings again in ten minutes.' } })

export const ArrangeContactSchema = z
  .strictObject({
    contactRef: ContactRefSchema.nullable().optional(),
    reachBy: ReachBySchema.nullable().optional(),
    callbackDue: CallbackDueSchema.nullable().optional(),
  })
  .openapi('ArrangeContact', {
    description: 'What is null is taken away; what is left out stays',
    example: { contactRef: 'contact-88', reachBy: 'relay', callbackDue: '2026-03-02T14:00:00Z' },
  })

export const RecordAttemptSchema = z
  .strictObject({ reachBy: ReachBySchema, outcome: AttemptOutcomeSchema })
  .openapi('RecordAttempt', { example: { reachBy: 'voice', outcome: 'no-answer' } })

export const CloseCallSchema = z
  .strictObject({
    conclusion: ConclusionSchema,
    confirmed: z
      .array(ConfirmedSchema)
      .max(20)
      .optional()
      .openapi({ description: 'What it was; at least one where the conclusion is confirmed, else none' }),
    remedy: Id.optional().openapi({ description: 'The remedy after which it was clear' }),
  })
  .openapi('CloseCall', {
    example: {
      conclusion: 'confirmed',
      confirmed: [{ cause: 'cause/socket-switched-off', by: 'check' }],
      remedy: 'remedy/move-supply-to-unswitched-socket',
    },
  })

export const FollowUpSchema = z
  .strictObject({ by: SpeakerSchema, answer: ClosingAnswerSchema })
  .openapi('FollowUp', { example: { by: 'caller', answer: 'cleared' } })

export const ReopenCallSchema = z
  .strictObject({ reason: ReopenReasonSchema })
  .openapi('ReopenCall', { example: { reason: 'came-back' } })

export const RetentionSchema = z
  .strictObject({ retentionDays: z.number().int().min(1).max(LIMITS.retentionDays) })
  .openapi('CallSettings', { example: { retentionDays: 365 } })
