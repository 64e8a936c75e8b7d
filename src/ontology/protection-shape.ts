import { z } from 'zod'
import { LOSSES, PROTECTION_STATES, PROTECTIONS } from '../domain/advice/protection.ts'
import { TextSchema } from './shape.ts'

/** How the answer to "am I protected now?" is worded, and what to do meanwhile. */

const practised = { basis: z.enum(['published', 'practice', 'judgement']), source: z.string().optional() }
const FunctionName = z.enum(PROTECTIONS)
const Name = z.string().regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, 'must be kebab-case')

/** One function of the system, said for each loss of it. */
const FunctionSchema = z.strictObject({
  id: FunctionName,
  /** Context that says there is nothing of the kind, so that nothing is said of it. */
  noneIf: z.string().optional(),
  say: z.record(z.enum(LOSSES), TextSchema),
  /** What is left where a part is lost. */
  rest: TextSchema.optional(),
})

const BatterySchema = z.enum(['main', 'module', 'own'])
/** What to do until it is mended, in order: people first. */
const InterimSchema = z.strictObject({
  id: Name,
  /** Needed when one of these has suffered at least this loss, and at most that one where it is given. */
  when: z.array(z.strictObject({ function: FunctionName, from: z.enum(LOSSES), to: z.enum(LOSSES).optional() })),
  /** Needed while one of these batteries is in use. */
  onBattery: z.array(BatterySchema).default([]),
  /** Context in which it is not needed. */
  unless: z.string().optional(),
  say: TextSchema,
  ...practised,
})

export const ProtectionSchema = z.strictObject({
  states: z.record(z.enum(PROTECTION_STATES), TextSchema),
  /** Added where more may be lost than has been reported. */
  mayBeWorse: TextSchema,
  /** Said where the next power cut ends protection early. */
  endsWithMains: TextSchema,
  batteries: z.record(BatterySchema, TextSchema),
  /** Contexts in which the low end of a range no longer holds. */
  reserveSpentIf: z.array(z.string()),
  functions: z.array(FunctionSchema).length(PROTECTIONS.length),
  interim: z.array(InterimSchema).min(1),
})
export type InterimWords = z.infer<typeof InterimSchema>
export type ProtectionWords = z.infer<typeof ProtectionSchema>

/** Silencing as an act of its own: how, what it does not do, and when nobody may do it. */
export const SilenceSchema = z.strictObject({
  how: TextSchema,
  ask: TextSchema,
  doesNot: z.array(TextSchema).min(1),
  forbidden: z
    .array(
      z.strictObject({
        id: Name,
        /** Forbidden while the sign of this hazard is reported. */
        hazards: z.array(z.string()).default([]),
        /** Forbidden while one of these stands. */
        conditions: z.array(z.string()).default([]),
        say: TextSchema,
      }),
    )
    .min(1),
  ...practised,
})
export type SilenceWords = z.infer<typeof SilenceSchema>
