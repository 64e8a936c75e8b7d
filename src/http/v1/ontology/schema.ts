import { z } from '@hono/zod-openapi'

const TextSchema = z
  .object({ 'en-US': z.string(), 'en-GB': z.string().optional() })
  .openapi('Text', { description: 'Text by language; en-GB only where its words differ' })

export const ReleaseEntrySchema = z.object({ release: z.string(), sha256: z.string(), releasedOn: z.string() })
export const ReleasesSchema = z
  .object({ current: z.string(), releases: z.array(ReleaseEntrySchema) })
  .openapi('Releases')

export const ManifestSchema = z
  .object({
    release: z.string(),
    licence: z.string(),
    iriBase: z.string(),
    counts: z.record(z.string(), z.number().int()),
    files: z.array(z.object({ name: z.string(), mediaType: z.string(), bytes: z.number().int(), sha256: z.string() })),
    sha256: z.string(),
  })
  .openapi('Manifest')

export const ConceptSummarySchema = z
  .object({
    id: z.string(),
    kind: z.string(),
    label: z.string(),
    family: z.string().optional(),
    status: z.string(),
    path: z.string(),
  })
  .openapi('ConceptSummary')

export const ConceptPageSchema = z
  .object({
    release: z.string(),
    total: z.number().int(),
    items: z.array(ConceptSummarySchema),
    next: z.string().optional().openapi({ description: 'Cursor of the next page; absent on the last' }),
  })
  .openapi('ConceptPage')

export const ConceptSchema = z
  .looseObject({
    id: z.string(),
    kind: z.string(),
    iri: z.string(),
    release: z.string(),
    status: z.string(),
    label: TextSchema,
    definition: TextSchema,
    links: z.array(z.string()).openapi({ description: 'Ids of other concepts that this one names' }),
  })
  .openapi('Concept')
export type ConceptBody = z.infer<typeof ConceptSchema>
