import { z } from '@hono/zod-openapi'
import { FAMILIES, KINDS } from '../../../ontology/shape.ts'

/** A released file never changes; what "latest" leads to does. */
export const IMMUTABLE = 'public, max-age=31536000, immutable'
export const SHORT = 'public, max-age=300'
export const cachedFor = (release: string) => (release === 'latest' ? SHORT : IMMUTABLE)

export const ReleaseParam = z.object({
  release: z.string().max(32).openapi({ description: 'A release or "latest"', example: '0.5.0' }),
})
export const KindParam = z.enum(KINDS).openapi({ description: 'Kind of concept', example: 'condition' })
export const FamilyParam = z.enum(FAMILIES).openapi({ description: 'Family of trouble' })
export const LanguageQuery = z
  .string()
  .regex(/^[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$/, 'must be a language tag such as en-GB or es')
  .max(35)
  .optional()
  .openapi({ description: 'Takes the place of Accept-Language' })
export const LimitQuery = z
  .string()
  .regex(/^(?:[1-9]|[1-9]\d|1\d\d|200)$/, 'must be a whole number from 1 to 200')
  .optional()
  .openapi({ description: 'Most items of the page', type: 'integer', minimum: 1, maximum: 200, default: 50 })
export const CursorQuery = z
  .string()
  .max(400)
  .optional()
  .openapi({ description: 'next of the page before, with the same filters' })
