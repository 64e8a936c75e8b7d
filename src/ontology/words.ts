import { z } from 'zod'

const Words = z.string().min(1)
/** An id, or a check and one of its results as "check/id=result". */
const Key = z
  .string()
  .regex(/^(?:condition|check|context|reading)\/[a-z0-9-]+(?:=[a-z0-9-]+)?$/, 'must be an id or id=result')

/** How callers of one language say it, beside the names in the ontology. They only find what may be meant. */
export const EverydayWordsSchema = z.strictObject({
  language: z.string().regex(/^[a-z]{2}$/),
  review: z.enum(['written', 'machine-drafted-unreviewed']),
  phrases: z.record(Key, z.array(Words).min(1)),
  /** Rows of words that mean the same; the first stands for all. */
  sameWords: z.array(z.array(Words).min(2)),
  /** Words with two everyday meanings: both are suggested and one question is put, unless other words settle it. */
  twoMeanings: z.array(
    z.strictObject({ word: Words, said: z.array(Words).min(1), between: z.tuple([Key, Key]).readonly() }),
  ),
})
export type EverydayWords = z.infer<typeof EverydayWordsSchema>
