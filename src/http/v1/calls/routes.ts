import { createRoute, type z } from '@hono/zod-openapi'
import { IdempotencyHeader } from '../../idempotency.ts'
import { behindKey } from '../../middleware/key.ts'
import { IfMatchHeader } from '../../preconditions.ts'
import {
  BODY_PROBLEMS,
  GONE_PROBLEM,
  INPUT_PROBLEM,
  json,
  jsonBody,
  KEY_PROBLEMS,
  READ_PROBLEMS,
  WRITE_PROBLEMS,
} from '../../schema.ts'
import { CallSchema } from './answers.ts'
import { CallParam } from './fields.ts'

/** What every route of calls has, by the types that it offers. */
export const common = (...offered: string[]) => ({ tags: ['calls'], ...behindKey('calls', ...offered) })
export const READ_ONE_PROBLEMS = { ...READ_PROBLEMS, ...GONE_PROBLEM, ...KEY_PROBLEMS, ...INPUT_PROBLEM }
export const ALL_WRITE_PROBLEMS = { ...READ_PROBLEMS, ...BODY_PROBLEMS, ...KEY_PROBLEMS, ...WRITE_PROBLEMS }

/** A write that adds one event to a call and answers with the call. */
export const writeRoute = <P extends string, S extends z.ZodType>(
  path: P,
  operationId: string,
  { summary, schema, description }: { summary: string; schema: S; description?: string },
) =>
  createRoute({
    ...common(),
    method: 'post',
    path: `/v1/calls/{call}/${path}` as const,
    operationId,
    summary,
    ...(description === undefined ? {} : { description }),
    request: { params: CallParam, headers: IfMatchHeader.extend(IdempotencyHeader.shape), ...jsonBody(schema) },
    responses: { 200: json(CallSchema, 'The call after it'), ...ALL_WRITE_PROBLEMS },
  })

/** A read of one call or of something of it. */
export const readRoute = <P extends string, S extends z.ZodType, Q extends z.ZodObject>(
  path: P,
  operationId: string,
  { summary, schema, query }: { summary: string; schema: S; query: Q },
) =>
  createRoute({
    ...common(),
    method: 'get',
    path: `/v1/calls/{call}${path}` as const,
    operationId,
    summary,
    request: { params: CallParam, query },
    responses: { 200: json(schema, summary), ...READ_ONE_PROBLEMS },
  })
