import { z } from 'zod'
import { severityScale } from './check-shape.ts'
import { basis, common, Name, ReadingId, TextSchema } from './shape-basics.ts'

/** Unit of each quantity that a reading can have. */
export const READING_UNITS = {
  voltage: 'V',
  'voltage-ac': 'V',
  resistance: 'Ohm',
  current: 'A',
  temperature: 'Cel',
  duration: 'h',
  'signal-level': 'dBm',
  'reference-power': 'dBm',
  'signal-margin': 'dB',
  'sound-level': 'dB',
  'signal-fraction': '%',
  count: '1',
} as const
export type ReadingQuantity = keyof typeof READING_UNITS

const SideSchema = z.strictObject(severityScale)
export const ReadingSchema = z.strictObject({
  id: ReadingId,
  ...common,
  /** Base unit of the quantity; dBm is a level against 1 mW and has no UCUM code of its own. */
  quantity: z.enum(Object.keys(READING_UNITS) as [ReadingQuantity, ...ReadingQuantity[]]),
  unit: z.enum(['V', 'Ohm', 'A', 'Cel', 'h', 'dBm', 'dB', '1', '%']),
  /** One value for each device (zone, sensor, module) or one for the system. */
  scope: z.enum(['system', 'device']).default('system'),
  /** Between which points, in which state of the system. */
  point: TextSchema,
  state: TextSchema,
  /** How long the thing measured must be left alone before, and in which mode the meter is. */
  rest: TextSchema,
  /** What the measurement destroys or disturbs, in words; "Nothing" when so. */
  destroys: TextSchema,
  validRange: z.strictObject({ low: z.number(), high: z.number() }),
  /** Meter assumed when none is stated: percent of reading plus absolute uncertainty in the unit. */
  meter: z.strictObject({ percentOfReading: z.number().min(0), absolute: z.number().min(0), ...basis }),
  /** Bands in ascending value; each but the last ends below `upTo`. Exactly one is the healthy one. */
  bands: z
    .array(
      z.strictObject({
        id: Name,
        label: TextSchema,
        upTo: z.strictObject({ value: z.number(), ...basis }).optional(),
        healthy: z.boolean().default(false),
      }),
    )
    .min(2),
  /** Values under the healthy band; levels: healthy, then each lower band in turn. */
  low: SideSchema.optional(),
  /** Values over the healthy band; levels: healthy, then each higher band in turn. */
  high: SideSchema.optional(),
})
