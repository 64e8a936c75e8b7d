import { z } from '@hono/zod-openapi'

/** Shapes that several routes share. */

export const QuantitySchema = z
  .strictObject({
    value: z.number().openapi({ description: 'Finite number' }),
    unit: z
      .string()
      .min(1)
      .max(16)
      .openapi({ description: 'UCUM code or the usual spelling: V, mA, Ah, h, min, Ohm, Cel' }),
  })
  .openapi('Quantity', { example: { value: 120, unit: 'mA' } })
export type Quantity = z.infer<typeof QuantitySchema>

/** An amount in an answer. */
export const AmountSchema = z.object({ value: z.number(), unit: z.string() }).openapi('Amount')

export const BasisSchema = z
  .object({
    release: z.string().openapi({ description: 'Release of the ontology that the answer rests on' }),
    sha256: z.string().openapi({ description: "SHA-256 of that release's ontology.json" }),
    engine: z.string().openapi({ description: 'Version of the computing core' }),
    rates: z.object({ id: z.string(), sha256: z.string(), asOf: z.string() }),
    overlays: z.array(z.string()),
    profiles: z.array(z.string()),
  })
  .openapi('Basis')

/** What every answer with texts says of their language. */
export const LANGUAGE_STATED = {
  language: z.string().openapi({ description: 'Language served' }),
  translation: z
    .object({
      review: z.enum(['machine-drafted-unreviewed', 'reviewed']),
      covers: z.array(z.string()).openapi({ description: 'Fields in that language' }),
      otherTexts: z.string().openapi({ description: 'Language of definitions, instructions and all other texts' }),
      safetyTexts: z.string().openapi({
        description:
          'Language of cautions, names of hazards, and questions that safety hangs on; English until reviewed',
      }),
    })
    .openapi('Translation')
    .optional(),
}

/** On what and in which words an answer was given. */
export const BASIS_STATED = { basis: BasisSchema, ...LANGUAGE_STATED }

export const StepsSchema = z
  .array(
    z
      .object({ formula: z.string(), substituted: z.string(), result: AmountSchema, source: z.string() })
      .openapi('DerivationStep'),
  )
  .openapi({ description: 'The derivation, line by line: formula, values put in, result, source' })

export const WarningsSchema = z.array(z.object({ code: z.string(), message: z.string() }).openapi('Warning'))
export const WouldChangeSchema = z.array(z.string()).openapi({ description: 'What would change the decision' })

export const CautionsSchema = z.array(
  z.object({ hazard: z.string(), label: z.string(), text: z.string(), basis: z.string() }).openapi('HazardCaution'),
)

export const FieldErrorSchema = z
  .object({
    pointer: z.string().openapi({ description: 'JSON pointer into the body, or a parameter name' }),
    code: z.string(),
    detail: z.string(),
    limit: z.union([z.number(), z.string()]).optional(),
    value: z.union([z.number(), z.string()]).optional(),
  })
  .openapi('FieldError')

export const ProblemSchema = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.number().int(),
    detail: z.string(),
    code: z.string(),
    requestId: z.string().optional(),
    errors: z.array(FieldErrorSchema),
    danger: z
      .object({ reason: z.string(), acts: z.array(z.string()) })
      .optional()
      .openapi({
        description: 'A sign of danger stood in the refused findings: what to do now, before anything is sent again',
      }),
  })
  .openapi('Problem', {
    example: {
      type: '/problems/unknown-id',
      title: 'An id is not known',
      status: 422,
      detail: 'condition must be an id of release 0.3.0, got condition/mains-mising',
      code: 'UNKNOWN_ID',
      requestId: '5f0c7a1e-7d2b-4f37-9a61-2f5f3a0b9c11',
      errors: [
        {
          pointer: '/findings/0/condition',
          code: 'UNKNOWN_ID',
          detail: 'condition must be an id of release 0.3.0, got condition/mains-mising',
          value: 'condition/mains-mising',
        },
      ],
    },
  })

/** A problem that many operations answer; the document states it once, under this name. */
const problem = (name: string, description: string) => ({
  description,
  content: { 'application/problem+json': { schema: ProblemSchema } },
  'x-component': name,
})

/** What a path or query that does not fit its schema answers. */
export const INPUT_PROBLEM = {
  422: problem('InvalidParameters', 'Invalid path or query: each offending parameter is named'),
} as const

const EVERYWHERE = {
  401: problem('KeyNotInForce', 'The key sent is not in force'),
  429: {
    ...problem('QuotaExceeded', 'More was asked than RateLimit-Policy allows'),
    headers: {
      'Retry-After': {
        schema: { type: 'integer' as const, minimum: 1 },
        description: 'Seconds until asking again is of use',
      },
      'RateLimit-Policy': {
        schema: { type: 'string' as const },
        description: 'Each quota: name, requests q, seconds w',
      },
      RateLimit: { schema: { type: 'string' as const }, description: 'Each quota: name, requests left r, seconds t' },
    },
  },
  500: problem('Fault', 'A fault on our side'),
} as const

/** Problems that every route with a body can answer. */
export const BODY_PROBLEMS = {
  ...EVERYWHERE,
  400: problem('MalformedJson', 'Malformed JSON'),
  406: problem('NotAcceptable', 'Accepted media type not offered'),
  413: problem('BodyTooLarge', 'Body over the limit'),
  415: problem('UnsupportedMediaType', 'Body is not application/json'),
  422: problem('InvalidInput', 'Invalid input: each offending field is named'),
} as const
export const READ_PROBLEMS = {
  ...EVERYWHERE,
  404: problem('NotFound', 'No such thing'),
  406: problem('NotAcceptable', 'Accepted media type not offered'),
} as const
/** Problems of the database behind a route; with Retry-After where waiting may help. */
export const STORE_PROBLEMS = {
  503: problem(
    'StoreUnavailable',
    'The database is not bound, does not answer, is held by another writer or is behind the service',
  ),
  507: problem('StoreFull', 'The disk of the database is full; nothing was changed'),
} as const
export const CONFLICT_PROBLEM = { 409: problem('Conflict', 'The state of the thing does not allow this') } as const
export const KEY_PROBLEMS = {
  401: problem('KeyMissing', 'No valid key'),
  403: problem('ScopeMissing', 'The key lacks the scope'),
  ...STORE_PROBLEMS,
} as const

/** What a write answers that must name the version it replaces. */
export const IF_MATCH_PROBLEMS = {
  412: problem('MovedOn', 'It was changed since it was read'),
  428: problem('IfMatchMissing', 'If-Match is missing'),
} as const

export const GONE_PROBLEM = { 410: problem('Gone', 'What was here has been erased') } as const

/** What a write that builds on a state can answer beside the rest. */
export const WRITE_PROBLEMS = {
  ...CONFLICT_PROBLEM,
  ...GONE_PROBLEM,
  ...IF_MATCH_PROBLEMS,
} as const

export const json = <T extends z.ZodType>(schema: T, description: string) => ({
  description,
  content: { 'application/json': { schema } },
})
export const jsonBody = <T extends z.ZodType>(schema: T, example?: z.input<T>) => ({
  body: {
    required: true,
    content: { 'application/json': { schema, ...(example === undefined ? {} : { example }) } },
  },
})

const LanguageSchema = z
  .string()
  .regex(/^[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$/, 'must be a language tag such as en-GB or es')
  .max(35)
  .openapi({
    description: 'BCP 47 tag; falls back to its primary language, then to en-US, and the answer says what was served',
    example: 'en-GB',
  })
const ReleaseFieldSchema = z
  .string()
  .max(32)
  .openapi({ description: 'Release of the ontology; the current one when left out', example: '0.5.0' })

/** Which edition of the ontology, in which words: on every request whose answer uses it. */
export const ONTOLOGY_FIELDS = { release: ReleaseFieldSchema.optional(), language: LanguageSchema.optional() }
