import { ConnectionError, errorOf } from './errors.ts'
import { retryAfterMs } from './retry-after.ts'

export interface TransportOptions {
  /** Any function with the shape of fetch. */
  fetch?: typeof fetch
  /** Milliseconds until an attempt gives up; 10 000 when left out. */
  timeoutMs?: number
  /** Milliseconds until a call gives up, waiting included; 30 000 when left out. */
  totalTimeoutMs?: number
  /** Attempts after the first; 2 when left out. What may not be repeated is sent once all the same. */
  retries?: number
  /** Told of each attempt; the one place for logs. Bodies and keys are never passed. */
  onAttempt?: (attempt: Attempt) => void
}
export interface CallOptions {
  /** Ends the call, the wait between attempts included. */
  signal?: AbortSignal
  /** ETag of the answer at hand; `ifChanged` sends it. */
  ifNoneMatch?: string
  /** Attempts after the first, in place of the client's. */
  retries?: number
  /** Key of a write that makes something once; a new one for each call when left out. */
  idempotencyKey?: string
}
/** One attempt, as it ended. */
export interface Attempt {
  method: string
  path: string
  /** 1 for the first. */
  number: number
  /** Absent when no answer came. */
  status?: number
  requestId?: string
  /** Milliseconds until the next attempt; absent when there is none. */
  retryInMs?: number
}

/** Longest wait that a service may ask for and still be waited for. */
const LONGEST_WAIT_MS = 30_000
const FIRST_WAIT_MS = 500
const MOST_BACKOFF_MS = 8_000

const isWorthRepeating = (status: number) => status === 408 || status === 429 || status >= 500

/** Full jitter: anything up to a bound that doubles. */
const backoffMs = (attempt: number) => Math.random() * Math.min(MOST_BACKOFF_MS, FIRST_WAIT_MS * 2 ** (attempt - 1))

function sleep(milliseconds: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    if (signal.aborted) reject(signal.reason)
    const stop = () => {
      clearTimeout(timer)
      reject(signal.reason)
    }
    const timer = setTimeout(() => {
      signal.removeEventListener('abort', stop)
      resolve()
    }, milliseconds)
    signal.addEventListener('abort', stop, { once: true })
  })
}

type Outcome = { response: Response } | { failure: unknown }

/** Sends requests: repeats what failed for a passing reason, and gives up in time. */
export class Transport {
  readonly #fetch: typeof fetch
  readonly #options: Required<Pick<TransportOptions, 'timeoutMs' | 'totalTimeoutMs' | 'retries'>>
  readonly #onAttempt: ((attempt: Attempt) => void) | undefined

  constructor({ fetch: given, timeoutMs = 10_000, totalTimeoutMs = 30_000, retries = 2, onAttempt }: TransportOptions) {
    this.#fetch = given ?? ((input, init) => fetch(input, init))
    this.#options = { timeoutMs, totalTimeoutMs, retries }
    this.#onAttempt = onAttempt
  }

  /** @throws TroubleAtlasError for a refusal, ConnectionError when no answer came */
  async send(url: string, path: string, init: RequestInit & { method: string }, options: CallOptions = {}) {
    const { totalTimeoutMs } = this.#options
    const retries = options.retries ?? this.#options.retries
    const total = AbortSignal.timeout(totalTimeoutMs)
    const signal = options.signal ? AbortSignal.any([options.signal, total]) : total
    for (let number = 1; ; number++) {
      const outcome = await this.#attempt(url, init, signal)
      const mayRepeat = number <= retries && !signal.aborted && !(init.body instanceof ReadableStream)
      const wait = mayRepeat ? waitAfter(outcome, number) : undefined
      this.#tell(path, init.method, number, outcome, wait)
      if (wait === undefined) return settle(outcome, path, init.method)
      await sleep(wait, signal).catch((cause: unknown) => {
        throw new ConnectionError(`${init.method} ${path}: given up while waiting to repeat`, { cause })
      })
    }
  }

  async #attempt(url: string, init: RequestInit, signal: AbortSignal): Promise<Outcome> {
    const attempt = AbortSignal.any([signal, AbortSignal.timeout(this.#options.timeoutMs)])
    try {
      return { response: await this.#fetch(url, { ...init, signal: attempt }) }
    } catch (failure) {
      return { failure }
    }
  }

  #tell(path: string, method: string, number: number, outcome: Outcome, retryInMs: number | undefined): void {
    const requestId = 'response' in outcome ? outcome.response.headers.get('x-request-id') : null
    this.#onAttempt?.({
      method,
      path,
      number,
      ...('response' in outcome ? { status: outcome.response.status } : {}),
      ...(requestId === null ? {} : { requestId }),
      ...(retryInMs === undefined ? {} : { retryInMs }),
    })
  }
}

/** How long to wait before the next attempt; undefined where another is of no use, or would be asked for too late. */
function waitAfter(outcome: Outcome, number: number): number | undefined {
  if ('failure' in outcome) return backoffMs(number)
  const { status, headers } = outcome.response
  if (!isWorthRepeating(status)) return undefined
  const asked = retryAfterMs(headers.get('retry-after'), Date.now())
  if (asked === undefined) return backoffMs(number)
  return asked > LONGEST_WAIT_MS ? undefined : asked
}

async function settle(outcome: Outcome, path: string, method: string): Promise<Response> {
  if ('failure' in outcome) throw new ConnectionError(`${method} ${path}: no answer`, { cause: outcome.failure })
  const { response } = outcome
  if (response.ok || response.status === 304) return response
  throw await errorOf(response)
}
