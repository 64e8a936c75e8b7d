import { z } from '@hono/zod-openapi'
import { RELATIONS } from '../../../ontology/crosswalk.ts'
import { batchAnswer } from '../../batch.ts'
import { LIMITS } from '../../limits.ts'

const RelationSchema = z.enum(RELATIONS).openapi({
  description: 'Read from the concept outwards: "broader" says that the code covers more than the concept',
})
const TextSchema = z.object({ 'en-US': z.string(), 'en-GB': z.string().optional() })
const mapping = {
  relation: RelationSchema,
  skos: z.string().openapi({ description: 'SKOS mapping property of the same meaning' }),
  basis: z.string(),
  source: z.string().optional(),
  note: z.string().optional(),
}
const MappingSchema = z.object({ concept: z.string(), ...mapping }).openapi('CodeMapping')
const ElsewhereSchema = z
  .object({
    scheme: z.string(),
    code: z.string().optional(),
    qualifier: z.string().optional(),
    relation: z.enum([...RELATIONS, 'none']),
    basis: z.string(),
    note: z.string().optional(),
  })
  .openapi('CodeElsewhere')

const codeFields = {
  scheme: z.string(),
  code: z.string(),
  title: TextSchema,
  kind: z.string(),
  trouble: z.boolean(),
  standing: z.boolean(),
  certainty: z.string(),
  clause: z.string().optional(),
  meaning: z.string().optional(),
  restoralOf: z.array(z.string()).optional(),
  ask: z.string().optional().openapi({ description: 'Danger check that an alarm calls for before anything else' }),
  mappings: z.array(MappingSchema),
  noEquivalent: z.string().optional().openapi({ description: 'Why no concept answers to the code' }),
  elsewhere: z.array(ElsewhereSchema).openapi({ description: 'Codes of other schemes, read from this code' }),
}
export const SchemesSchema = z
  .object({
    release: z.string(),
    schemes: z.array(
      z.object({
        scheme: z.string(),
        title: z.string(),
        edition: z.string(),
        source: z.string(),
        codes: z.number().int(),
        troubles: z.number().int(),
        mapped: z.number().int(),
        path: z.string(),
      }),
    ),
    codeMaps: z.array(z.object({ from: z.string(), to: z.string(), rows: z.number().int() })),
  })
  .openapi('Schemes')
export const CodeSchema = z.object({ release: z.string(), ...codeFields }).openapi('CrosswalkCode')
export const CodePageSchema = z
  .object({
    release: z.string(),
    scheme: z.string(),
    total: z.number().int(),
    items: z.array(z.object(codeFields)),
    next: z.string().optional(),
  })
  .openapi('CrosswalkPage')

const Scheme = z.string().max(40)
export const TranslateRequestSchema = z
  .strictObject({
    items: z
      .array(
        z.union([
          z.strictObject({ scheme: Scheme, code: z.string().max(80) }),
          z.strictObject({ concept: z.string().max(120), scheme: Scheme.optional() }),
        ]),
      )
      .min(1)
      .max(LIMITS.inlineItems),
  })
  .openapi('TranslateRequest', {
    example: {
      items: [
        { scheme: 'dc-05', code: '301' },
        { concept: 'condition/battery-low', scheme: 'dc-03' },
      ],
    },
  })
export const TranslateAnswerSchema = batchAnswer(
  z.object({
    release: z.string(),
    scheme: z.string().optional(),
    code: z.string().optional(),
    concept: z.string().optional(),
    concepts: z.array(MappingSchema).optional(),
    codes: z.array(z.object({ scheme: z.string(), code: z.string(), title: TextSchema, ...mapping })).optional(),
    elsewhere: z.array(ElsewhereSchema).optional(),
    noEquivalent: z.string().optional(),
  }),
).openapi('TranslateAnswer')
