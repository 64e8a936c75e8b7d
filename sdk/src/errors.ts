import { retryAfterMs } from './retry-after.ts'
import type { components } from './types.ts'

export type Problem = components['schemas']['Problem']

/** The service refused: everything its problem document (RFC 9457) says. */
export class TroubleAtlasError extends Error {
  readonly status: number
  readonly type: string
  readonly title: string
  readonly detail: string
  /** Stable code such as UNKNOWN_ID; new codes may be added. */
  readonly code: string
  /** Offending fields by JSON pointer. */
  readonly errors: Problem['errors']
  readonly requestId: string | undefined
  /** Milliseconds that the service asked to wait. */
  readonly retryAfterMs: number | undefined
  readonly response: Response

  constructor(response: Response, problem: Problem) {
    super(`${response.status} ${problem.code}: ${problem.detail}`)
    this.name = new.target.name
    this.status = response.status
    this.type = problem.type
    this.title = problem.title
    this.detail = problem.detail
    this.code = problem.code
    this.errors = problem.errors
    this.requestId = problem.requestId ?? response.headers.get('x-request-id') ?? undefined
    this.retryAfterMs = retryAfterMs(response.headers.get('retry-after'), Date.now())
    this.response = response
  }
}

/** The input is wrong; `errors` names each field. */
export class InvalidInputError extends TroubleAtlasError {}
/** No valid key, or a key without the scope. */
export class KeyError extends TroubleAtlasError {}
/** No such release, concept or path. */
export class NotFoundError extends TroubleAtlasError {}
/** A fault of the service. */
export class ServiceError extends TroubleAtlasError {}

/** No answer came: the network failed, the time ran out, or the call was aborted. `cause` holds the reason. */
export class ConnectionError extends Error {
  constructor(message: string, options: { cause: unknown }) {
    super(message, options)
    this.name = 'ConnectionError'
  }
}

function classOf(status: number): typeof TroubleAtlasError {
  if (status === 401 || status === 403) return KeyError
  if (status === 404) return NotFoundError
  return status >= 500 ? ServiceError : InvalidInputError
}

function isProblem(body: unknown): body is Problem {
  return typeof body === 'object' && body !== null && 'code' in body && 'detail' in body
}

/** The typed error of a response that is not 2xx; also for a proxy's answer that is no problem document. */
export async function errorOf(response: Response): Promise<TroubleAtlasError> {
  const text = await response.text()
  let body: unknown
  try {
    body = JSON.parse(text)
  } catch {
    body = undefined
  }
  const unknown: Problem = {
    type: 'about:blank',
    title: response.statusText || 'Unexpected answer',
    status: response.status,
    detail: text.slice(0, 200) || 'The answer is not a problem document',
    code: 'UNEXPECTED_ANSWER',
    errors: [],
  }
  return new (classOf(response.status))(response, isProblem(body) ? { ...unknown, ...body } : unknown)
}
