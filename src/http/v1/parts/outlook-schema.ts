import { z } from '@hono/zod-openapi'

const cause = {
  cause: z.string(),
  label: z.string(),
  probability: z.number(),
  shown: z.number().openapi({ description: 'The probability to show a person' }),
  word: z.string(),
  remedies: z.array(z.object({ remedy: z.string(), label: z.string() })),
}

/** What stands above a part, and what it does nothing for. */
export const OutlookSchema = z
  .object({
    roots: z
      .array(
        z.object({
          ...cause,
          say: z.string(),
          brings: z.array(z.object({ cause: z.string(), label: z.string() })),
          basis: z.string(),
        }),
      )
      .openapi({
        description: 'Likely causes above the part, to be said first: as long as one stands, a new part fails too',
      }),
    notCured: z.array(z.object(cause)).openapi({ description: 'Likely causes that this part does nothing for' }),
    notJudged: z.array(z.string()).openapi({ description: 'Causes sent that the release does not hold' }),
  })
  .openapi('PartOutlook')

const Side = z.object({ required: z.string(), origin: z.string() })
export const ContradictionsSchema = z
  .array(z.object({ attribute: z.string(), isSafety: z.boolean(), between: z.array(Side).length(2), say: z.string() }))
  .openapi({ description: 'Demands that no part can meet together' })
