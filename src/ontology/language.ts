import { z } from 'zod'

/** Texts of one language beside English: names of every concept, and the questions and results put to a caller. */
const ConceptTextSchema = z.strictObject({
  label: z.string().min(1),
  lay: z.string().min(1).optional(),
  ask: z.string().min(1).optional(),
  results: z.record(z.string(), z.string().min(1)).optional(),
})
export const LanguagePackSchema = z.strictObject({
  language: z.string().regex(/^[a-z]{2}$/),
  name: z.string().min(1),
  /** How the texts came about and who has read them. */
  review: z.enum(['machine-drafted-unreviewed', 'reviewed']),
  texts: z.record(z.string(), ConceptTextSchema),
})
export type ConceptText = z.infer<typeof ConceptTextSchema>
export type LanguagePack = z.infer<typeof LanguagePackSchema>
