import type { Hook } from '@hono/zod-openapi'
import type { ZodError } from 'zod'
import type { AppEnv } from '../env.ts'
import { type FieldError, ProblemError } from '../problem.ts'

const escapePointer = (part: PropertyKey) => String(part).replaceAll('~', '~0').replaceAll('/', '~1')

/** Names and messages of a caller's making are cut, so that no refusal grows with its request. */
const MAX_KEY_LENGTH = 120
const MAX_DETAIL_LENGTH = 300

/** The path to an issue; it ends above a key that is too long to show. */
function shownPath(issue: ZodError['issues'][number]): PropertyKey[] {
  const path = issue.code === 'unrecognized_keys' ? [...issue.path, issue.keys[0] ?? ''] : issue.path
  const tooLong = path.findIndex((key) => String(key).length > MAX_KEY_LENGTH)
  return tooLong < 0 ? path : path.slice(0, tooLong)
}

/** The part of the input an issue points at, short enough to show. */
function valueAt(input: unknown, path: readonly PropertyKey[]): string | number | undefined {
  let value = input
  for (const key of path) value = (value as Record<PropertyKey, unknown> | null | undefined)?.[key]
  if (typeof value === 'number') return Number.isFinite(value) ? value : String(value)
  return typeof value === 'string' ? value.slice(0, 80) : undefined
}

function limitOf(issue: ZodError['issues'][number]): string | number | undefined {
  if (issue.code === 'too_big' && issue.maximum !== undefined) return Number(issue.maximum)
  if (issue.code === 'too_small' && issue.minimum !== undefined) return Number(issue.minimum)
  if (issue.code === 'invalid_value') return issue.values.map(String).join(', ')
  if (issue.code === 'invalid_type') return issue.expected
  return undefined
}

const MAX_REPORTED = 50

export function fieldErrors(error: ZodError, target: string, input: unknown): FieldError[] {
  return error.issues.slice(0, MAX_REPORTED).map((issue) => {
    const keys = shownPath(issue)
    const pointer = keys.map((part) => `/${escapePointer(part)}`).join('')
    const limit = limitOf(issue)
    const value = valueAt(input, issue.path)
    return {
      pointer: target === 'json' ? pointer : `${target === 'query' ? '?' : ':'}${keys.join('.')}`,
      code: issue.code.toUpperCase(),
      detail: issue.message.slice(0, MAX_DETAIL_LENGTH),
      ...(limit === undefined ? {} : { limit }),
      ...(value === undefined ? {} : { value }),
    }
  })
}

/** Turns a failed schema into a problem that names every offending field. */
export const validationHook: Hook<unknown, AppEnv, string, unknown> = (result) => {
  if (result.success) return
  const errors = fieldErrors(result.error as ZodError, result.target, (result as { data?: unknown }).data)
  const first = errors[0]
  throw new ProblemError('INPUT_INVALID', `${first?.pointer || 'body'}: ${first?.detail ?? 'invalid'}`, errors)
}
