import { z } from '@hono/zod-openapi'
import { given } from '../../../domain/given.ts'
import { CHEMISTRIES, type Suitability } from '../../../domain/power/suitable.ts'
import type { QuantityReader } from '../../quantity.ts'
import { type Quantity, QuantitySchema } from '../../schema.ts'

const Chemistry = z.enum(CHEMISTRIES)

/** What a request may say of the batteries beside their capacity. */
export const BATTERIES = {
  chemistry: Chemistry.optional().openapi({ description: 'lead-acid when left out' }),
  agesInParallel: z.array(QuantitySchema).max(8).optional().openapi({ description: 'Age of each battery in parallel' }),
}
export const CHARGER = {
  charges: z.array(Chemistry).min(1).max(3).optional().openapi({
    description: 'What the charger is made for; lead-acid when left out',
  }),
}

/** The batteries of a body as the cores want them. */
export function suitabilityOf(
  {
    chemistry,
    charges,
    agesInParallel,
  }: {
    chemistry?: Suitability['chemistry'] | undefined
    charges?: Suitability['charges'] | undefined
    agesInParallel?: Quantity[] | undefined
  },
  { required }: QuantityReader,
): Suitability {
  return given({
    chemistry,
    charges,
    agesInParallelYears: agesInParallel?.map((age, index) => required(age, 'a', `/agesInParallel/${index}`)),
  })
}
