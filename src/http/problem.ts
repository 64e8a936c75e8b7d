import type { Context } from 'hono'
import { HTTPException } from 'hono/http-exception'
import type { ContentfulStatusCode } from 'hono/utils/http-status'
import { DomainError, type DomainErrorCode } from '../domain/errors.ts'
import { type StoreError, type StoreFault, storeErrorIn } from '../services/store-error.ts'

/** The one table from a code to its status and title; every error body is made here. */
export const PROBLEMS = {
  BODY_MALFORMED: { status: 400, title: 'The body is not valid JSON' },
  BODY_TOO_LARGE: { status: 413, title: 'The body is too large' },
  CALL_FULL: { status: 409, title: 'There is no room for more' },
  CALL_STATE: { status: 409, title: 'This cannot happen to the call as it stands' },
  CHEMISTRY_UNSUITABLE: { status: 422, title: 'The chemistry of the battery does not suit' },
  EVIDENCE_IMPOSSIBLE: { status: 422, title: 'Nothing in the ontology can produce these findings together' },
  EVIDENCE_TOO_ENTANGLED: { status: 422, title: 'Too many findings hang together to be computed exactly' },
  FORBIDDEN: { status: 403, title: 'The key does not allow this' },
  GONE: { status: 410, title: 'What was here has been erased' },
  IDEMPOTENCY_KEY_INVALID: { status: 400, title: 'The idempotency key is missing or malformed' },
  IDEMPOTENCY_KEY_REUSED: { status: 422, title: 'The idempotency key was used for something else' },
  IMPORTS_TOO_MANY: { status: 409, title: 'Too many imports are open' },
  IMPORT_HAS_ERRORS: { status: 409, title: 'The import has errors and takes all or nothing' },
  IMPORT_INCOMPLETE: { status: 409, title: 'Parts of the import are missing' },
  IMPORT_NOT_OPEN: { status: 409, title: 'The import is not open' },
  IMPORT_RETIRES_TOO_MUCH: { status: 409, title: 'The import would retire too much of the catalogue' },
  INPUT_INVALID: { status: 422, title: 'The input is not valid' },
  INTERNAL: { status: 500, title: 'Something went wrong on our side' },
  MEDIA_TYPE_UNSUPPORTED: { status: 415, title: 'The body is of a media type that the path does not take' },
  KEY_LIMIT_REACHED: { status: 409, title: 'The shop has as many keys as it may' },
  KEY_NOT_IN_FORCE: { status: 409, title: 'The key has ended or was replaced already' },
  LAST_ADMIN_KEY: { status: 409, title: 'Without this key nobody could administer the shop' },
  METHOD_NOT_ALLOWED: { status: 405, title: 'This method is not offered here' },
  NOT_ACCEPTABLE: { status: 406, title: 'None of the accepted media types is offered here' },
  NOT_FOUND: { status: 404, title: 'There is nothing here' },
  NO_EVIDENCE: { status: 422, title: 'There is nothing to judge by' },
  NO_LOAD: { status: 422, title: 'There is no load to compute with' },
  OVERLAY_INVALID: { status: 422, title: 'The overlay breaks rules of the ontology' },
  PRECONDITION_FAILED: { status: 412, title: 'It has changed since it was read' },
  PRECONDITION_REQUIRED: { status: 428, title: 'The request must say which state it builds on' },
  QUANTITY_OUT_OF_RANGE: { status: 422, title: 'A quantity is out of range' },
  QUOTA_EXCEEDED: { status: 429, title: 'More was asked than is allowed in this time' },
  RELEASE_UNKNOWN: { status: 404, title: 'There is no such release of the ontology' },
  STORE_BUSY: { status: 503, title: 'Another writer holds the database' },
  STORE_DAMAGED: { status: 500, title: 'The file of the database is damaged' },
  STORE_FAILED: { status: 503, title: 'The disk of the database failed' },
  STORE_FULL: { status: 507, title: 'The disk of the database is full' },
  STORE_OUTDATED: { status: 503, title: 'The tables of the database are behind the service' },
  STORE_READ_ONLY: { status: 503, title: 'The database cannot be written to' },
  STORE_UNREACHABLE: { status: 503, title: 'The database does not answer' },
  TEMPERATURE_BEYOND_TABLE: { status: 422, title: 'The published table does not reach this temperature' },
  UNAUTHENTICATED: { status: 401, title: 'A valid key is needed' },
  UNAVAILABLE: { status: 503, title: 'The service is not ready' },
  UNIT_MISMATCH: { status: 422, title: 'The unit is of another dimension' },
  UNLIKE_IN_PARALLEL: { status: 422, title: 'Batteries in parallel must be alike' },
  UNKNOWN_ID: { status: 422, title: 'An id is not known' },
  UNKNOWN_UNIT: { status: 422, title: 'A unit is not known' },
} as const satisfies Record<string, { status: ContentfulStatusCode; title: string }> &
  Record<DomainErrorCode | StoreFault, unknown>
export type ProblemCode = keyof typeof PROBLEMS

/** After how many seconds another try may help; nobody is told to try again where a person must act first. */
const RETRY_AFTER_S: Partial<Record<ProblemCode, number>> = {
  STORE_BUSY: 1,
  STORE_FAILED: 10,
  STORE_FULL: 60,
  STORE_OUTDATED: 30,
  STORE_UNREACHABLE: 5,
}

export interface FieldError {
  /** JSON pointer into the body, or the name of a parameter after "?" or ":". */
  pointer: string
  code: string
  detail: string
  limit?: number | string
  value?: number | string
}

/** Thrown by a route or a service's caller; becomes a problem body. */
export class ProblemError extends Error {
  readonly code: ProblemCode
  readonly errors: FieldError[]
  readonly status: ContentfulStatusCode

  constructor(code: ProblemCode, detail: string, errors: FieldError[] = [], status?: ContentfulStatusCode) {
    super(detail)
    this.code = code
    this.errors = errors
    this.status = status ?? PROBLEMS[code].status
  }
}

/** Path of the page that explains a problem. */
export const problemPath = (code: ProblemCode) => `/problems/${code.toLowerCase().replaceAll('_', '-')}`

function fieldOf(error: DomainError): FieldError {
  const { path, limit, value } = error.detail
  return {
    pointer: path ?? '',
    code: error.code,
    detail: error.message,
    ...(limit === undefined ? {} : { limit }),
    ...(value === undefined
      ? {}
      : { value: typeof value === 'number' && !Number.isFinite(value) ? String(value) : value }),
  }
}

const fromDomain = (error: DomainError) =>
  new ProblemError(error.code, error.message, [error, ...error.also].map(fieldOf))

/** What became of the request's own change, so that nobody sends it twice or believes it kept. */
const changeTold = ({ isOutcomeUnknown }: StoreError) =>
  isOutcomeUnknown
    ? 'A change in this request was made whole or not at all, but which is not known: read before sending it again.'
    : 'Nothing was changed.'
const fromStore = (error: StoreError) => new ProblemError(error.code, `${error.message}. ${changeTold(error)}`)

const BY_STATUS: Partial<Record<number, ProblemCode>> = {
  400: 'BODY_MALFORMED',
  401: 'UNAUTHENTICATED',
  403: 'FORBIDDEN',
  404: 'NOT_FOUND',
  405: 'METHOD_NOT_ALLOWED',
  413: 'BODY_TOO_LARGE',
  415: 'MEDIA_TYPE_UNSUPPORTED',
}

/** Whether an error is a refusal of the input rather than a fault of ours. */
export const isRefusal = (error: unknown): boolean => error instanceof ProblemError || error instanceof DomainError

function toProblem(error: unknown): ProblemError {
  if (error instanceof ProblemError) return error
  if (error instanceof DomainError) return fromDomain(error)
  if (error instanceof HTTPException) {
    const code = BY_STATUS[error.status]
    if (code) return new ProblemError(code, PROBLEMS[code].title)
  }
  const storeError = storeErrorIn(error)
  if (storeError) return fromStore(storeError)
  return new ProblemError(
    'INTERNAL',
    'The request was not processed; nothing was changed. Please report the request id.',
  )
}

/** The body of a problem, as it stands in a response or among the results of a batch. */
export function problemBody(error: unknown, requestId: string | undefined) {
  const problem = toProblem(error)
  return {
    type: problemPath(problem.code),
    title: PROBLEMS[problem.code].title,
    status: problem.status as number,
    detail: problem.message,
    code: problem.code,
    ...(requestId === undefined ? {} : { requestId }),
    errors: problem.errors,
  }
}

/** A key that was sent where it does not belong is never sent back. */
const KEY = /(ta_[0-9A-Za-z]{5})[0-9A-Za-z]{35}(?:_[0-9A-Za-z]{0,6})?/g

/** The only place where an error becomes a status and a body (RFC 9457). */
export function problemResponse(c: Context, error: unknown): Response {
  const body = problemBody(error, c.get('requestId') as string | undefined)
  if (body.status >= 500) c.set('fault', error)
  const retryAfter = RETRY_AFTER_S[body.code]
  if (retryAfter !== undefined) c.header('Retry-After', `${retryAfter}`)
  if (body.code === 'UNAUTHENTICATED') c.header('WWW-Authenticate', 'Bearer')
  // The rest of an oversized body is never read, so the connection cannot carry another request.
  if (body.code === 'BODY_TOO_LARGE') c.header('Connection', 'close')
  c.header('Content-Type', 'application/problem+json')
  c.header('Cache-Control', 'no-store')
  return c.body(JSON.stringify(body).replace(KEY, '$1...'), body.status as ContentfulStatusCode)
}
