import { z } from '@hono/zod-openapi'
import { RELATIONS } from '../../../ontology/crosswalk.ts'
import { CHANGE_CLASSES } from '../../../ontology/diff.ts'
import { LANGUAGE_STATED } from '../../schema.ts'

const TextSchema = z
  .object({ 'en-US': z.string(), 'en-GB': z.string().optional() })
  .catchall(z.string())
  .openapi('Text', { description: 'Text by language; en-GB only where its words differ' })

const ReviewSchema = z.enum(['machine-drafted-unreviewed', 'reviewed'])
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
    languages: z.array(z.object({ language: z.string(), name: z.string(), review: ReviewSchema })).optional(),
    files: z.array(z.object({ name: z.string(), mediaType: z.string(), bytes: z.number().int(), sha256: z.string() })),
    sha256: z.string(),
  })
  .openapi('Manifest')

export const ConceptSummarySchema = z
  .object({
    id: z.string(),
    kind: z.string(),
    label: z.string(),
    lay: z.string().optional(),
    family: z.string().optional(),
    nature: z.string().optional(),
    status: z.string(),
    path: z.string(),
    foundIn: z
      .enum(['label', 'other-name', 'retired-name', 'definition', 'code'])
      .optional()
      .openapi({ description: 'Where the words of a search were found' }),
    caseExact: z.boolean().optional().openapi({ description: 'For a code: whether upper and lower case agreed' }),
  })
  .openapi('ConceptSummary')

export const ConceptPageSchema = z
  .object({
    release: z.string(),
    ...LANGUAGE_STATED,
    total: z.number().int(),
    items: z.array(ConceptSummarySchema),
    next: z.string().optional().openapi({ description: 'Cursor of the next page; absent on the last' }),
  })
  .openapi('ConceptPage')

const ChangeKind = z.enum(['added', 'removed', 'deprecated', 'changed'])
export const ConceptSchema = z
  .looseObject({
    id: z.string(),
    kind: z.string(),
    iri: z.string(),
    release: z.string(),
    path: z.string(),
    status: z.string(),
    label: TextSchema,
    definition: TextSchema,
    translations: z.array(z.object({ language: z.string(), review: ReviewSchema })),
    codes: z.array(
      z.object({
        scheme: z.string(),
        code: z.string(),
        title: TextSchema,
        concept: z.string(),
        relation: z.enum(RELATIONS),
        basis: z.string(),
        source: z.string().optional(),
        note: z.string().optional(),
      }),
    ),
    links: z.array(z.string()).openapi({ description: 'Ids of other concepts that this one names' }),
    linkedFrom: z.array(z.string()).openapi({ description: 'Ids of other concepts that name this one' }),
    history: z
      .array(z.object({ release: z.string(), change: ChangeKind, class: z.enum(CHANGE_CLASSES) }))
      .openapi({ description: 'Editions that touched it, oldest first' }),
  })
  .openapi('Concept')

const ClassSchema = z.enum(CHANGE_CLASSES).openapi({
  description:
    'breaking: an id is gone or means something else; numeric: answers differ; compatible: added; editorial: words',
})
export const ChangesSchema = z
  .object({
    since: z.string(),
    release: z.string(),
    class: ClassSchema,
    changes: z.array(
      z.object({
        id: z.string(),
        kind: z.string(),
        change: ChangeKind,
        class: ClassSchema,
        fields: z.array(
          z.object({
            path: z.string(),
            class: ClassSchema,
            before: z.unknown().optional(),
            after: z.unknown().optional(),
          }),
        ),
      }),
    ),
  })
  .openapi('Changes')
