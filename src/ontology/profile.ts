import { z } from 'zod'
import { DISPLAY_KINDS, TENSES } from '../domain/displays/profile.ts'
import { IRI_ROOT } from './formats/predicates.ts'

/**
 * How one family of keypads shows conditions, as its integrator writes it down. Every name and act is put to the caller in
 * these words. What it means beyond its shape is checked by the rules in src/domain/displays.
 */

const slug = '[a-z0-9]+(?:-[a-z0-9]+)*'
const NameSchema = z
  .string()
  .max(40)
  .regex(new RegExp(`^${slug}$`), 'must be kebab-case')
const ConditionIdSchema = z
  .string()
  .max(120)
  .regex(new RegExp(`^condition/(?:${slug}~)?${slug}$`), 'must look like condition/kebab-case')
/** Words without control characters, and with something to read in them. */
const words = (most: number) =>
  z
    .string()
    .max(most)
    .regex(/^(?=.*\S)[^\p{Cc}]+$/u, 'must be words on one line')
const ActSchema = words(300)
const MarkNameSchema = words(80)
const DeviceSchema = words(64)

const WaySchema = z.strictObject({
  screen: NameSchema.describe('Screen that it leads to'),
  act: ActSchema.describe('What the caller does, in words'),
})

const MarkSchema = z.strictObject({
  mark: MarkNameSchema.describe('How a caller names it'),
  condition: ConditionIdSchema.optional().describe('Condition that stands while it is on'),
  device: DeviceSchema.optional().describe("Device that the condition, this one's or the screen's, is about"),
  tense: z.enum(TENSES).optional().describe("The screen's when left out"),
  opens: WaySchema.optional().describe('It is on while this screen has something to show'),
  isAllClear: z.boolean().optional().describe('On while nothing stands that the screen could show'),
})

const ScreenSchema = z.strictObject({
  screen: NameSchema,
  title: words(80).describe('How it is spoken of'),
  kind: z.enum(DISPLAY_KINDS),
  shows: z.enum(['all-at-once', 'one-by-one']),
  isComplete: z
    .boolean()
    .describe('Everything that stands is shown; false where the display picks, such as the most urgent item'),
  tense: z.enum(TENSES).optional().describe('earlier: a memory; now when left out'),
  read: ActSchema.describe('How to read it from its beginning'),
  goOn: ActSchema.optional().describe('How to see the next mark'),
  repeat: ActSchema.optional().describe('How to have it shown again'),
  leave: WaySchema.optional().describe('How to get out of it, and to which screen'),
  clearsByViewing: ActSchema.optional().describe('A look clears it: what the caller is told first'),
  condition: ConditionIdSchema.optional().describe('What the numbers and other devices of this screen have'),
  numbers: z
    .strictObject({
      first: z.number().int().min(0).max(9999),
      last: z.number().int().min(0).max(9999),
      digits: z.number().int().min(1).max(4).optional(),
    })
    .refine(({ first, last }) => last - first < 100, 'must be at most 100 numbers')
    .optional()
    .describe('Marks that are device numbers, written with at least so many digits'),
  marks: z.array(MarkSchema).max(100).optional(),
  ways: z.array(WaySchema).max(20).optional().describe('Screens that can be opened from here whatever it shows'),
})

export const ProfileSchema = z.strictObject({
  profile: NameSchema.describe('Name of the family of displays'),
  version: words(20),
  name: words(120).describe('Name for people'),
  /** Release that it was written for. */
  release: z.string().max(32).optional().describe('Release of the ontology whose conditions it names'),
  start: NameSchema.describe('Screen on which a call begins'),
  screens: z.array(ScreenSchema).min(1).max(64),
})
export type Profile = z.infer<typeof ProfileSchema>

/** JSON Schema 2020-12 of a display profile. */
export function profileJsonSchema(): Record<string, unknown> {
  const schema = z.toJSONSchema(ProfileSchema, { target: 'draft-2020-12', io: 'input', unrepresentable: 'throw' })
  return { ...schema, $id: `${IRI_ROOT}schema/display-profile.json`, title: 'Trouble Atlas display profile' }
}
