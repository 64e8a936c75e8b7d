/** One keyed client of the service under test. */
export interface Api {
  url: string
  key: string
}

export interface Answer {
  status: number
  /** Seconds of Retry-After, where it is given. */
  retryAfter: number | undefined
  // Bodies differ by route.
  body: any
  tookMs: number
}

/** Sends a request; undefined when the connection broke before the whole answer was there. */
export async function send(
  api: Api,
  method: string,
  path: string,
  body?: unknown,
  headers: Record<string, string> = {},
): Promise<Answer | undefined> {
  const begin = performance.now()
  try {
    const response = await fetch(api.url + path, {
      method,
      headers: { Authorization: `Bearer ${api.key}`, 'Content-Type': 'application/json', ...headers },
      ...(body === undefined ? {} : { body: typeof body === 'string' ? body : JSON.stringify(body) }),
    })
    const text = await response.text()
    const retry = response.headers.get('Retry-After')
    return {
      status: response.status,
      retryAfter: retry === null ? undefined : Number(retry),
      body: text === '' ? undefined : JSON.parse(text),
      tookMs: performance.now() - begin,
    }
  } catch {
    return undefined
  }
}
