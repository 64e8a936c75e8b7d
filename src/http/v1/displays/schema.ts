import { z } from '@hono/zod-openapi'
import { TENSES } from '../../../domain/displays/profile.ts'
import { ProfileSchema } from '../../../ontology/profile.ts'
import { BASIS_STATED, FieldErrorSchema, ONTOLOGY_FIELDS } from '../../schema.ts'

const MarkSchema = z.string().min(1).max(80)

const ObservationSchema = z.strictObject({
  screen: z.string().min(1).max(40),
  on: z
    .array(MarkSchema)
    .max(100)
    .openapi({ description: 'Marks that are on; letter case and leading zeros do not count' }),
  off: z.array(MarkSchema).max(200).optional().openapi({ description: 'Marks that are surely off' }),
  readToTheEnd: z.boolean().optional().openapi({ description: 'Everything that the screen shows has been read' }),
})

export const DecodeRequestSchema = z
  .strictObject({
    ...ONTOLOGY_FIELDS,
    profile: z.union([z.string().min(1).max(40), ProfileSchema]).openapi({
      description:
        'A display profile, or the name of a shipped example: marl-ring, osier-slate; with a key, of one that the shop keeps',
    }),
    observed: z
      .array(ObservationSchema)
      .max(100)
      .openapi({ description: 'In the order of the call: the last screen is the one the caller is on' }),
  })
  .openapi('DecodeDisplayRequest', {
    example: {
      profile: 'marl-ring',
      observed: [
        { screen: 'front', on: ['open eye'], readToTheEnd: true },
        { screen: 'ring', on: ['2', '5'], off: ['6'] },
      ],
    },
  })
export type DecodeRequest = z.infer<typeof DecodeRequestSchema>

const condition = { condition: z.string(), label: z.string() }
const TenseSchema = z.enum(TENSES).openapi({ description: 'earlier: a memory shows it; it is not known to be so now' })

const FindingSchema = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('condition'),
    condition: z.string(),
    state: z.enum(['present', 'absent']),
    device: z.string().optional(),
    tense: TenseSchema.optional(),
  }),
  z.object({ kind: z.literal('screen'), complete: z.boolean() }),
])

export const DecodeAnswerSchema = z
  .object({
    ...BASIS_STATED,
    established: z.array(
      z.object({
        ...condition,
        tense: TenseSchema,
        devices: z.array(z.string()),
        shownBy: z.array(z.object({ screen: z.string(), mark: z.string() })),
      }),
    ),
    excluded: z
      .array(z.object({ ...condition, devices: z.array(z.string()).optional() }))
      .openapi({ description: 'Does not stand now; with devices: not on these, while nothing is said of others' }),
    hidden: z
      .array(
        z.object({
          screen: z.string(),
          title: z.string(),
          isCertain: z.boolean().openapi({ description: 'A mark that opens it is on: there is something to read' }),
          isMemory: z.boolean().openapi({ description: 'All that it can still tell was earlier' }),
          conditions: z.array(z.object({ ...condition, tense: TenseSchema })),
        }),
      )
      .openapi({
        description: 'Screens still to be read, each with what is not known, or not of which device, without it',
      }),
    undecided: z.array(z.object(condition)).openapi({
      description: 'What no further look settles, because the display does not show everything that stands',
    }),
    doubts: z
      .array(
        z.object({
          kind: z.enum([
            'on-and-off',
            'all-clear-and-more',
            'lit-but-nothing-behind',
            'shown-though-not-opened',
            'screens-disagree',
          ]),
          screen: z.string(),
          mark: z.string(),
          condition: z.string().optional(),
        }),
      )
      .openapi({ description: 'What does not fit together and wants a second look; what is on counts meanwhile' }),
    next: z
      .object({
        act: z.string().openapi({ description: 'For the caller, in the words of the profile' }),
        screen: z.string(),
        title: z.string(),
        reveals: z.array(z.string()),
        steps: z.number().int().openapi({ description: 'Acts before the reading' }),
      })
      .nullable()
      .openapi({ description: 'Null once nothing is hidden' }),
    findings: z.array(FindingSchema).openapi({ description: 'As POST /v1/diagnose takes them' }),
  })
  .openapi('DecodedDisplay')

/** A profile with an example, for the document. */
export const ProfileBodySchema = z.strictObject({ ...ProfileSchema.shape }).openapi('DisplayProfile', {
  example: {
    profile: 'two-lamps',
    version: '1',
    name: 'Two lamps and a list of numbers (invented)',
    start: 'front',
    screens: [
      {
        screen: 'front',
        title: 'the front',
        kind: 'numbered-lamps',
        shows: 'all-at-once',
        isComplete: true,
        read: 'Say which of the two lamps is lit.',
        marks: [
          { mark: '1', condition: 'condition/mains-missing' },
          { mark: '2', opens: { screen: 'list', act: 'Press the lower edge.' } },
        ],
      },
      {
        screen: 'list',
        title: 'the numbers',
        kind: 'digits',
        shows: 'one-by-one',
        isComplete: true,
        read: 'Read every number until the first one comes again.',
        goOn: 'Wait for the next number.',
        leave: { screen: 'front', act: 'Press the upper edge.' },
        condition: 'condition/radio-device-missing',
        numbers: { first: 1, last: 16, digits: 2 },
      },
    ],
  },
})

export const VerdictSchema = z
  .object({
    release: z.string(),
    profile: z.string(),
    sha256: z.string().openapi({ description: 'Names this profile in the basis of answers' }),
    isValid: z.boolean(),
    faults: z.array(FieldErrorSchema).openapi({ description: 'Every rule it breaks, with the place and the remedy' }),
  })
  .openapi('DisplayProfileVerdict')
