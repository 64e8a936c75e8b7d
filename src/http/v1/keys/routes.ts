import { createRoute } from '@hono/zod-openapi'
import { behindKey } from '../../middleware/key.ts'
import {
  BODY_PROBLEMS,
  CONFLICT_PROBLEM,
  INPUT_PROBLEM,
  json,
  jsonBody,
  KEY_PROBLEMS,
  READ_PROBLEMS,
} from '../../schema.ts'
import {
  IssuedKeySchema,
  KeyIdParam,
  KeyPageSchema,
  KeyRequestSchema,
  KeySchema,
  KeysQuery,
  RevokedKeySchema,
  RevokeQuery,
  RotatedKeySchema,
  RotationRequestSchema,
} from './schema.ts'

const common = { tags: ['keys'], ...behindKey('admin') }
const problems = { ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM }
const location = {
  headers: { Location: { schema: { type: 'string' as const }, description: 'Path of the new key' } },
}

export const listRoute = createRoute({
  ...common,
  method: 'get',
  path: '/v1/keys',
  operationId: 'listKeys',
  summary: "A shop's keys, oldest first; never the keys themselves",
  request: { query: KeysQuery },
  responses: { 200: json(KeyPageSchema, 'One page'), ...problems },
})
export const readRoute = createRoute({
  ...common,
  method: 'get',
  path: '/v1/keys/{id}',
  operationId: 'getKey',
  summary: 'What is known of one key',
  request: { params: KeyIdParam },
  responses: { 200: json(KeySchema, 'The key, without itself'), ...problems },
})
export const createKeyRoute = createRoute({
  ...common,
  method: 'post',
  path: '/v1/keys',
  operationId: 'createKey',
  summary: 'Makes a key for the shop and shows it once',
  description:
    'Not repeated by the SDK and not covered by Idempotency-Key: an answer that could be given again would have to keep the key.',
  request: jsonBody(KeyRequestSchema),
  responses: {
    201: { ...json(IssuedKeySchema, 'Made'), ...location },
    ...problems,
    ...BODY_PROBLEMS,
    ...CONFLICT_PROBLEM,
  },
})
export const rotateRoute = createRoute({
  ...common,
  method: 'post',
  path: '/v1/keys/{id}/rotate',
  operationId: 'rotateKey',
  summary: 'Puts a new key in the place of one, which stays valid for an overlap',
  request: { params: KeyIdParam, ...jsonBody(RotationRequestSchema) },
  responses: {
    201: { ...json(RotatedKeySchema, 'Made; the old key ends as stated'), ...location },
    ...problems,
    ...BODY_PROBLEMS,
    ...CONFLICT_PROBLEM,
  },
})
const LAST_ADMIN =
  'Takes effect at once. The last admin key of a shop is refused with LAST_ADMIN_KEY unless lockOut=accept says that this is meant. Doing it again changes nothing.'
export const deleteRoute = createRoute({
  ...common,
  method: 'delete',
  path: '/v1/keys/{id}',
  operationId: 'deleteKey',
  summary: 'Revokes a key',
  description: LAST_ADMIN,
  request: { params: KeyIdParam, query: RevokeQuery },
  responses: { 204: { description: 'Revoked' }, ...problems, ...CONFLICT_PROBLEM },
})
export const revokeRoute = createRoute({
  ...common,
  method: 'post',
  path: '/v1/keys/{id}/revoke',
  operationId: 'revokeKey',
  summary: 'Revokes a key and says how many admin keys are left',
  description: LAST_ADMIN,
  request: { params: KeyIdParam, query: RevokeQuery },
  responses: { 200: json(RevokedKeySchema, 'Revoked'), ...problems, ...CONFLICT_PROBLEM },
})
