import { z } from '@hono/zod-openapi'
import { DomainError } from '../domain/errors.ts'
import { type QuantityReader, quantityReader } from './quantity.ts'
import { type Quantity, QuantitySchema } from './schema.ts'

export const MeterSchema = z
  .strictObject({
    percentOfReading: z.number().min(0).max(100),
    digits: z.number().min(0).max(1000),
    resolution: QuantitySchema,
  })
  .openapi('Meter', { description: 'Limit of error as the meter states it: percent of reading + digits x resolution' })

/** The quantity in the unit of a core. Throws 422 when it is negative. */
export function notNegative(
  quantity: Quantity,
  unit: string,
  pointer: string,
  reader: QuantityReader = quantityReader,
): number {
  const value = reader.required(quantity, unit, pointer)
  if (!(value < 0)) return value
  throw new DomainError('QUANTITY_OUT_OF_RANGE', `${pointer.split('/').at(-1)} must be >= 0 ${unit}, got ${value}`, {
    path: `${pointer}/value`,
    limit: 0,
    value: quantity.value,
  })
}

/** A meter's limit of error in the unit of the reading. */
export function readMeter(
  meter: z.infer<typeof MeterSchema>,
  unit: string,
  pointer: string,
  reader: QuantityReader = quantityReader,
) {
  const { percentOfReading, digits } = meter
  // The product may not be finite either, so digits count as a change of unit does.
  const resolution = { ...meter.resolution, value: digits * meter.resolution.value }
  return { percentOfReading, absolute: notNegative(resolution, unit, `${pointer}/resolution`, reader) }
}
