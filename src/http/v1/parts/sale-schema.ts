import { z } from '@hono/zod-openapi'
import { SALE_KINDS, SALE_REGIONS } from '../../../ontology/shape.ts'
import { AmountSchema } from '../../schema.ts'

export const SaleNotesSchema = z
  .array(
    z
      .object({
        note: z.string(),
        kind: z.enum(SALE_KINDS),
        region: z.enum(SALE_REGIONS),
        say: z.string(),
        unNumbers: z.array(z.string()).optional(),
        duration: AmountSchema.optional(),
        basis: z.string(),
        remark: z.string().optional(),
      })
      .openapi('SaleNote'),
  )
  .openapi({ description: 'What a shop has to know when it sells this kind of part, and afterwards' })
