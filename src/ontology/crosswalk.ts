import { z } from 'zod'

/**
 * Crosswalks from codes of open standards to conditions, and from one standard's codes to another's.
 * A relation is read from this ontology outwards: "broader" says that the code covers more than the concept.
 */

export const RELATIONS = ['equivalent', 'broader', 'narrower', 'related'] as const
export type Relation = (typeof RELATIONS)[number]

/** SKOS mapping property that carries each relation. */
export const SKOS_RELATION = {
  equivalent: 'exactMatch',
  broader: 'broadMatch',
  narrower: 'narrowMatch',
  related: 'relatedMatch',
} as const satisfies Record<Relation, string>

const Scheme = z.string().regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, 'must be kebab-case')
const MappingSchema = z.strictObject({
  concept: z.string().regex(/^condition\//, 'must be a condition'),
  relation: z.enum(RELATIONS),
  basis: z.enum(['published', 'judgement']),
  source: z.string().optional(),
  note: z.string().optional(),
})
const CodeSchema = z.strictObject({
  code: z.string().min(1),
  title: z.strictObject({ 'en-US': z.string().min(1), 'en-GB': z.string().min(1).optional() }),
  kind: z.string().min(1),
  /** Reports that the system, or a part of it, cannot do its work. */
  trouble: z.boolean(),
  /** Stays until its restoral comes. */
  standing: z.boolean(),
  certainty: z.string().min(1),
  clause: z.string().optional(),
  meaning: z.string().optional(),
  restoralOf: z.array(z.string()).optional(),
  /** Danger check that an alarm calls for before anything else. Judgement. */
  ask: z
    .string()
    .regex(/^check\/danger-/, 'must be a danger check')
    .optional(),
  mappings: z.array(MappingSchema),
  /** Why no concept answers to the code. */
  noEquivalent: z.string().min(1).optional(),
})
export const CrosswalkSchema = z.strictObject({
  scheme: Scheme,
  title: z.string().min(1),
  edition: z.string().min(1),
  /** Id in the bibliography. */
  source: z.string().min(1),
  codes: z.array(CodeSchema).min(1),
})
/** From the codes of one scheme to those of another; a relation is read from `from` to `to`. */
export const CodeMapSchema = z.strictObject({
  from: Scheme,
  to: Scheme,
  source: z.string().min(1),
  rows: z.array(
    z.strictObject({
      code: z.string().min(1),
      qualifier: z.string().optional(),
      target: z.string().min(1).optional(),
      relation: z.enum([...RELATIONS, 'none']),
      basis: z.enum(['published', 'judgement']),
      note: z.string().optional(),
    }),
  ),
})

export type Crosswalk = z.infer<typeof CrosswalkSchema>
export type CrosswalkCode = Crosswalk['codes'][number]
export type Mapping = CrosswalkCode['mappings'][number]
export type CodeMap = z.infer<typeof CodeMapSchema>

/** Codes of every scheme that map to a concept. */
export function codesOf(crosswalks: readonly Crosswalk[], concept: string) {
  return crosswalks.flatMap(({ scheme, codes }) =>
    codes.flatMap(({ code, title, mappings }) =>
      mappings.filter((mapping) => mapping.concept === concept).map((mapping) => ({ scheme, code, title, ...mapping })),
    ),
  )
}
