import { z } from 'zod'
import { CheckId, ConditionId, ContextId, Name, RemedyId } from './shape-basics.ts'

/** What follows from what is known, and what a step goes with. Absent before 0.6.0. */

/** Circumstances that follow while a condition stands or a circumstance holds, or once a result was given. */
export const follows = {
  /** These hold then. */
  implies: z.array(ContextId).min(1).optional(),
  /** These do not hold then. */
  rulesOut: z.array(ContextId).min(1).optional(),
}

/** Circumstances that follow once a remedy was tried, by what came of it; none that only repeats what the remedy removes. Absent before 0.7.0. */
export const followsTrial = z
  .strictObject({
    'no-change': z.strictObject(follows).optional(),
    cleared: z.strictObject(follows).optional(),
    'came-back': z.strictObject(follows).optional(),
  })
  .optional()

/** Conditions that no longer stand once a result was given: the item has gone from the display, and not for the test alone. */
export const clears = z.array(ConditionId).min(1).optional()

/** A check with the result that it gave. */
export const AnswerSchema = z.strictObject({ check: CheckId, result: Name })

export const goesWith = {
  /** Results of which one at least must be known first, beside all of `requires`. */
  requiresAny: z.array(AnswerSchema).min(1).optional(),
  /**
   * Not put, and not planned, while one of these circumstances holds or conditions stands, once an answer was given, or once a
   * remedy was carried out (remedies: absent before 0.7.0).
   */
  notWith: z
    .array(z.union([ContextId, ConditionId, RemedyId, AnswerSchema]))
    .min(1)
    .optional(),
}
/** Planned only while one of these conditions stands. */
export const onlyWith = z.array(ConditionId).min(1).optional()

export type Follows = { [K in keyof typeof follows]?: string[] | undefined }
export type Answer = z.infer<typeof AnswerSchema>
