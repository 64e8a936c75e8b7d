import { z } from '@hono/zod-openapi'
import {
  ATTEMPT_OUTCOMES,
  CLOSING_ANSWERS,
  CONCLUSIONS,
  CONFIRMED_BY,
  REACH_BY,
  REOPEN_REASONS,
  SKIP_REASONS,
  SPEAKERS,
  TRIED_RESULTS,
} from '../../../domain/calls/event.ts'
import { PLACEHOLDERS, redact } from '../../../domain/words/redact.ts'
import { LIMITS } from '../../limits.ts'

/** Fields that several operations on calls share. No field is for a name, a number or an address of a person. */

const MOST_FIGURES = 6
const looksPersonal = (text: string) =>
  redact(text) !== text && !PLACEHOLDERS.some((placeholder) => text.includes(placeholder))

/** A reference of the shop's own: nothing in it may be a telephone number, so long ones must hold a letter. */
const RefSchema = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9._:-]{0,63}$/, 'must be up to 64 letters, figures and . _ : - without spaces')
  .refine((ref) => /[A-Za-z]/.test(ref) || ref.replace(/\D/g, '').length <= MOST_FIGURES, {
    error: `must hold a letter when it has more than ${MOST_FIGURES} figures, so that it is no telephone number`,
  })
export const SiteRefSchema = RefSchema.openapi({
  description: "The shop's own reference of the site; opaque here",
  example: 'site-0147',
})
export const ContactRefSchema = RefSchema.openapi({
  description: "The shop's own reference of whom to reach; opaque here, and no telephone number",
  example: 'contact-88',
})
export const Id = z.string().min(3).max(120)
export const DeviceSchema = z
  .string()
  .min(1)
  .max(64)
  .refine((name) => !looksPersonal(name), { error: 'must hold no telephone number, e-mail address, address or code' })
  .openapi({ description: 'Device, zone or module it belongs to', example: 'hall' })
/** Whether a short name that was sent along holds what is not to be kept. */
export const isPersonal = looksPersonal

export const TimeSchema = z.iso.datetime({ offset: true })
export const SpeakerSchema = z.enum(SPEAKERS).openapi({ description: 'Who said or did it' })
export const ReachBySchema = z.enum(REACH_BY)
export const SkipReasonSchema = z.enum(SKIP_REASONS)
export const TriedResultSchema = z.enum(TRIED_RESULTS)
export const AttemptOutcomeSchema = z.enum(ATTEMPT_OUTCOMES)
export const ConclusionSchema = z.enum(CONCLUSIONS)
export const ConfirmedSchema = z
  .strictObject({
    cause: Id,
    device: DeviceSchema.optional(),
    by: z.enum(CONFIRMED_BY).openapi({ description: 'How it is known' }),
  })
  .openapi('ConfirmedCause')
export const ClosingAnswerSchema = z.enum(CLOSING_ANSWERS)
export const ReopenReasonSchema = z.enum(REOPEN_REASONS)
export const NoteSchema = z.string().trim().min(1).max(LIMITS.noteCharacters).openapi({
  description:
    'Free text; telephone numbers, e-mail addresses, addresses and codes in it are taken out before it is kept',
})

export const CallParam = z.object({
  call: z
    .string()
    .regex(/^[0-9a-f]{32}$/, 'must be the id of a call')
    .openapi({ description: 'Id of the call', example: '3f2504e04f8941d39a0c0305e82c3301' }),
})
