import { z } from 'zod'
import { LOSSES } from '../domain/advice/protection.ts'

const Loss = z.enum(LOSSES).exclude(['works'])

/** What a condition takes away while it stands; a function left out is not affected by it. Absent before 0.4.0. */
export const AffectsSchema = z
  .strictObject({
    'life-safety': Loss.optional(),
    detection: Loss.optional(),
    sounding: Loss.optional(),
    reporting: Loss.optional(),
    control: Loss.optional(),
    'power-reserve': Loss.optional(),
    basis: z.enum(['published', 'practice', 'judgement']),
    source: z.string().optional(),
    note: z.string().optional(),
    /** Battery that the condition is about, and how long it lasts once nothing else feeds. */
    lasts: z
      .strictObject({
        battery: z.enum(['main', 'module', 'own']),
        low: z.number().min(0).optional(),
        high: z.number().min(0).optional(),
        unit: z.literal('h'),
        basis: z.enum(['published', 'practice', 'judgement']),
        source: z.string().optional(),
      })
      .optional(),
  })
  .describe('What it takes away while it stands')
export type AffectsStated = z.infer<typeof AffectsSchema>
