import { z } from 'zod'
import { CodeMapSchema, CrosswalkSchema } from './crosswalk.ts'
import { ProtectionSchema, SilenceSchema } from './protection-shape.ts'
import {
  CONCEPT_SCHEMAS,
  GateSchema,
  KINDS,
  type Kind,
  LevelsSchema,
  PrologueStepSchema,
  SourceEntrySchema,
  ToolSchema,
} from './shape.ts'

const lists = Object.fromEntries(
  KINDS.map((kind) => [kind, z.array(CONCEPT_SCHEMAS[kind] as z.ZodType<{ id: string }>)]),
) as Record<Kind, z.ZodArray<z.ZodType<{ id: string }>>>

/** The published document: every concept with what the numbers in it refer to. */
export const PublishedSchema = z.strictObject({
  release: z.string().regex(/^\d+\.\d+\.\d+$/),
  licence: z.string(),
  iriBase: z.url(),
  ...lists,
  gates: z.array(GateSchema),
  prologue: z.array(PrologueStepSchema),
  protection: ProtectionSchema.optional(),
  silence: SilenceSchema.optional(),
  tools: z.array(ToolSchema).optional(),
  levels: LevelsSchema,
  sources: z.array(SourceEntrySchema),
  crosswalks: z.array(CrosswalkSchema),
  codeMaps: z.array(CodeMapSchema),
})
