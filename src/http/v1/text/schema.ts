import { z } from '@hono/zod-openapi'
import { LIMITS } from '../../limits.ts'
import { AmountSchema, BASIS_STATED, ONTOLOGY_FIELDS } from '../../schema.ts'

export const InterpretTextRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    // The route holds the limit: a refusal by the schema would show how the text begins, and with it perhaps a code.
    text: z.string().min(1).openapi({
      maxLength: LIMITS.textCharacters,
      description: "A caller's own words; nothing of it is kept",
    }),
  })
  .openapi('InterpretTextRequest', {
    example: { text: 'The keypad says no AC and low battery, and the battery reads 11.4 volts. My code is 4471.' },
  })

const SuggestedFindingSchema = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('condition'), condition: z.string(), state: z.enum(['present', 'absent']) }),
    z.object({ kind: z.literal('context'), context: z.string(), state: z.enum(['holds', 'does-not-hold']) }),
    z.object({ kind: z.literal('answer'), check: z.string(), result: z.string() }),
    z.object({ kind: z.literal('reading'), reading: z.string(), quantity: AmountSchema }),
  ])
  .openapi('SuggestedFinding', {
    description: 'A finding that `POST /v1/diagnose` accepts once a person has confirmed it',
  })

const SuggestionSchema = z
  .object({
    finding: SuggestedFindingSchema,
    label: z.string(),
    score: z.number().min(0).max(1).openapi({ description: 'Compares suggestions of one text; no probability' }),
    matched: z.array(z.string()).openapi({ description: 'Words of the text that speak for it' }),
    confirm: z.string().openapi({ description: 'What to ask before it is taken for a finding' }),
  })
  .openapi('TextSuggestion')

export const InterpretTextAnswerSchema = z
  .object({
    ...BASIS_STATED,
    text: z.string().openapi({
      description: 'The text without telephone numbers, addresses, codes and passwords: the form that may be kept',
    }),
    dangers: z
      .array(SuggestionSchema)
      .openapi({ description: 'Signs of danger that the text speaks of; ask these first' }),
    suggestions: z
      .array(SuggestionSchema)
      .openapi({ description: 'By falling score; what the text denies comes last, as absent' }),
    questions: z
      .array(
        z.object({
          word: z.string(),
          between: z.array(z.object({ finding: SuggestedFindingSchema, label: z.string() })),
        }),
      )
      .openapi({ description: 'Words with two everyday meanings that the text leaves open' }),
    unmatched: z.array(z.string()).openapi({ description: 'Words that speak for nothing suggested' }),
  })
  .openapi('InterpretTextAnswer')
