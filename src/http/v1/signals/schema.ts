import { z } from '@hono/zod-openapi'
import { LINE_SCHEMES } from '../../../domain/signals/line-form.ts'
import { UNMAPPED_REASONS } from '../../../services/findings-from-signals.ts'
import { LIMITS } from '../../limits.ts'
import { BASIS_STATED, ONTOLOGY_FIELDS } from '../../schema.ts'

/** Sixteen, twenty-four or thirty-two bytes. */
export const KEY_HEX = /^(?:[0-9A-Fa-f]{32}|[0-9A-Fa-f]{48}|[0-9A-Fa-f]{64})$/

export const DecodeSignalsRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    scheme: z.enum(LINE_SCHEMES).default('mixed').openapi({
      description: 'What every line is; "mixed" tells each line by its form, and takes a time in front of it',
    }),
    text: z.string().min(1).max(LIMITS.signalText).openapi({
      description:
        'One signal a line: digits of DC-05, bytes of DC-03 in hexadecimal pairs or its data as text, frames of DC-09',
    }),
    strict: z.boolean().default(false).openapi({
      description:
        'Refuses what a careful receiver would pass over: a wrong length under a right CRC, blanks, and alike',
    }),
    // Checked by the route: a refusal by the schema would repeat the key.
    keyHex: z.string().optional().openapi({
      description: 'Key of AES for encrypted frames, for this request only: neither kept nor logged nor repeated',
      pattern: KEY_HEX.source,
      format: 'password',
    }),
  })
  .openapi('DecodeSignalsRequest', {
    example: {
      scheme: 'mixed',
      text: '1234181301000006\n1234181302000005\n1234183301000004',
    },
  })

const SignalProblemSchema = z
  .object({
    code: z.string(),
    message: z.string(),
    limit: z.union([z.string(), z.number()]).optional(),
    value: z.union([z.string(), z.number()]).optional(),
  })
  .openapi('SignalProblem')

const AddressSchema = z
  .object({ of: z.string().openapi({ description: 'What the digits count: zone, user, door' }), number: z.string() })
  .openapi('SignalAddress')

const SignalEventSchema = z
  .object({
    scheme: z.enum(['dc-05', 'dc-03']),
    code: z.string(),
    title: z.string().optional(),
    kind: z.enum(['event', 'restore']).openapi({ description: 'Of openings and closings, restore is the closing' }),
    isRepeated: z.literal(true).optional().openapi({ description: 'Reported before and still standing' }),
    account: z.string().optional(),
    area: z.string().optional().openapi({ description: 'Area, group or partition' }),
    address: AddressSchema.optional(),
    at: z.string().optional().openapi({ description: 'ISO 8601, from the frame or from the log' }),
    time: z.string().optional().openapi({ description: "By the sender's clock, of no stated zone" }),
    date: z.string().optional(),
    text: z.string().optional(),
    block: z.string().optional().openapi({ description: 'Heading of the block that an unknown code stands in' }),
    problems: z.array(SignalProblemSchema),
  })
  .openapi('SignalEvent')

const SignalFrameSchema = z
  .object({
    token: z.string(),
    isEncrypted: z.boolean(),
    sequence: z.string(),
    receiver: z.string().optional(),
    linePrefix: z.string().optional(),
    account: z.string().optional(),
    timestamp: z.string().optional(),
    extended: z.array(z.object({ letter: z.string(), text: z.string() })),
  })
  .openapi('SignalFrame')

const FoundSchema = z
  .object({
    kind: z.literal('condition'),
    condition: z.string(),
    state: z.enum(['present', 'absent']),
    device: z.string().optional(),
    observedAt: z.string().optional(),
    source: z.string(),
  })
  .openapi('SignalFinding')

const reasons = Object.entries(UNMAPPED_REASONS)
const UnmappedSchema = z
  .object({
    scheme: z.string(),
    code: z.string(),
    title: z.string().optional(),
    state: z.enum(['present', 'absent']),
    area: z.string().optional(),
    address: AddressSchema.optional(),
    account: z.string().optional(),
    block: z.string().optional(),
    reason: z.enum(reasons.map(([reason]) => reason)),
    detail: z.string(),
    ask: z.string().optional().openapi({ description: 'Danger check that an alarm calls for before anything else' }),
    candidates: z.array(z.string()).openapi({ description: 'Conditions that the crosswalk names for the code' }),
    lines: z.array(z.number().int()),
  })
  .openapi('UnmappedSignal')

export const DecodeSignalsAnswerSchema = z
  .object({
    ...BASIS_STATED,
    lines: z
      .array(
        z.object({
          line: z.number().int().openapi({ description: 'From 1; empty lines are counted and left out' }),
          events: z.array(SignalEventSchema),
          frame: SignalFrameSchema.optional(),
          problems: z.array(SignalProblemSchema).openapi({ description: 'What was passed over' }),
          problem: SignalProblemSchema.optional().openapi({ description: 'Why the line could not be read' }),
        }),
      )
      .openapi({ description: 'One item a line that is not empty' }),
    accounts: z
      .array(z.string())
      .openapi({ description: 'Accounts in the text; of more than one, diagnose the findings apart by their source' }),
    findings: z.array(FoundSchema).openapi({
      description: 'As POST /v1/diagnose takes them; absent where the last that was heard is a restoral',
    }),
    unmapped: z.array(UnmappedSchema).openapi({ description: 'Every code that became no finding, with the reason' }),
  })
  .openapi('DecodeSignalsAnswer')
