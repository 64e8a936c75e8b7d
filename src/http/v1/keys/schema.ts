import { z } from '@hono/zod-openapi'
import { SCOPES } from '../../../services/keys.ts'
import { QuantitySchema } from '../../schema.ts'
import { CursorQuery, LimitQuery } from '../ontology/params.ts'

const ScopeSchema = z.enum(SCOPES)
const ID = 'key-6f1d2c3b4a596877'
const TimeSchema = z.iso.datetime()

export const KeyIdParam = z.object({
  id: z
    .string()
    .regex(/^key-[0-9a-f]{16}$/, 'must be the id of a key, as GET /v1/keys lists them')
    .openapi({ description: 'Id of a key', example: ID }),
})
export const KeysQuery = z.object({ cursor: CursorQuery, limit: LimitQuery })
export const RevokeQuery = z.object({
  lockOut: z.enum(['accept']).optional().openapi({
    description: 'Revokes even the last admin key; afterwards keys are made only by the operator of the service',
  }),
})

const KEY_FIELDS = {
  id: z.string(),
  prefix: z.string().openapi({ description: 'First characters, to tell keys apart' }),
  label: z.string().optional(),
  scopes: z.array(ScopeSchema),
  state: z.enum(['in-force', 'ended', 'revoked']),
  createdAt: TimeSchema,
  expiresAt: TimeSchema.optional(),
  revokedAt: TimeSchema.optional(),
  lastUsedAt: TimeSchema.optional().openapi({ description: 'To the hour' }),
  replacedBy: z.string().optional().openapi({ description: 'Id of the key that a rotation put in its place' }),
}
export const KeySchema = z.object(KEY_FIELDS).openapi('Key')
export const IssuedKeySchema = z
  .object({
    ...KEY_FIELDS,
    key: z.string().openapi({ description: 'The key, shown this once and stored only as a hash' }),
  })
  .openapi('IssuedKey')
export const RotatedKeySchema = z
  .object({
    ...KEY_FIELDS,
    key: z.string().openapi({ description: 'The new key, shown this once and stored only as a hash' }),
    replaced: z.object({ id: z.string(), endsAt: TimeSchema }).openapi({ description: 'The old key and when it ends' }),
  })
  .openapi('RotatedKey')
export const KeyPageSchema = z.object({ items: z.array(KeySchema), next: z.string().optional() }).openapi('KeyPage')
export const RevokedKeySchema = z
  .object({ ...KEY_FIELDS, adminKeysLeft: z.number().int().openapi({ description: 'Admin keys in force afterwards' }) })
  .openapi('RevokedKey')

export const KeyRequestSchema = z
  .strictObject({
    label: z.string().trim().min(1).max(80).openapi({ description: 'What the key is for' }),
    scopes: z
      .array(ScopeSchema)
      .min(1)
      .max(SCOPES.length)
      .refine((scopes) => new Set(scopes).size === scopes.length, 'must name each scope once')
      .openapi({ uniqueItems: true }),
    expiresAt: TimeSchema.optional().openapi({ description: 'For ever when left out' }),
  })
  .openapi('KeyRequest', { example: { label: 'till of the front shop', scopes: ['calls', 'catalogue'] } })
export const RotationRequestSchema = z
  .strictObject({
    overlap: QuantitySchema.optional().openapi({
      description: 'How long the old key stays valid beside the new one: 0 s to 30 d, 24 h when left out',
    }),
    expiresAt: TimeSchema.optional().openapi({ description: 'As long a life as the old key had when left out' }),
  })
  .openapi('RotationRequest', { example: { overlap: { value: 48, unit: 'h' } } })
