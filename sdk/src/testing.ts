/** What goes wrong, by the number of the request: each fault is used once, in order, then all goes well. */
export type Fault = 'drop' | { status: number; headers?: Record<string, string>; body?: string }

export interface FaultOptions {
  faults?: readonly Fault[]
  /** Milliseconds before each answer. */
  latencyMs?: number
}

const wait = (milliseconds: number, signal: AbortSignal | null | undefined) =>
  new Promise<void>((resolve, reject) => {
    const timer = setTimeout(resolve, milliseconds)
    signal?.addEventListener('abort', () => {
      clearTimeout(timer)
      reject(signal.reason)
    })
  })

/**
 * A fetch that fails as told, for the tests of an app: around a stub, or around `offlineFetch()` for real answers.
 *
 * @example new TroubleAtlas({ baseUrl: 'http://test', fetch: faultyFetch(offlineFetch(), { faults: ['drop', { status: 503 }] }) })
 */
export function faultyFetch(inner: typeof fetch, { faults = [], latencyMs = 0 }: FaultOptions): typeof fetch {
  const left = [...faults]
  return async (input, init) => {
    if (latencyMs > 0) await wait(latencyMs, init?.signal)
    const fault = left.shift()
    if (fault === undefined) return inner(input, init)
    if (fault === 'drop') throw new TypeError('the connection was dropped')
    const { status, headers = {}, body = '' } = fault
    return new Response(body, { status, headers })
  }
}
