import { ConnectionError, errorOf } from './errors.ts'
import type { operations } from './types.ts'

type Json<T> = T extends { content: { 'application/json': infer Body } } ? Body : never
type Operations = operations
/** Body of an operation's request. */
export type Input<O extends keyof Operations> = Operations[O] extends { requestBody: infer B } ? Json<B> : never
/** Body of an operation's 200 answer. */
export type Answer<O extends keyof Operations> = Operations[O] extends { responses: { 200: infer R } } ? Json<R> : never
/** Query parameters of an operation. */
export type Query<O extends keyof Operations> = Operations[O] extends { parameters: { query?: infer Q } }
  ? NonNullable<Q>
  : never

export interface ClientOptions {
  /** Where the service is, for example http://127.0.0.1:8787 */
  baseUrl: string
  /** A shop's key; only needed for routes over the shop's own data. */
  apiKey?: string
  /** Any function with the shape of fetch. */
  fetch?: typeof fetch
  /** Milliseconds until a call gives up; 10 000 when left out. */
  timeoutMs?: number
}
export interface CallOptions {
  signal?: AbortSignal
}

/** An answer with the request id and the response it came in. */
export type Result<T> = { value: T; requestId: string | undefined; response: Response }

type Parameters = Record<string, string | number | boolean | undefined>

const encode = (path: string) => path.split('/').map(encodeURIComponent).join('/')

/**
 * Client of the Trouble Atlas API: one method for each operation, named as its operationId.
 * Every method resolves to `{ value, requestId, response }`; a refusal is a TroubleAtlasError.
 */
export class TroubleAtlas {
  readonly #baseUrl: string
  readonly #headers: Record<string, string>
  readonly #fetch: typeof fetch
  readonly #timeoutMs: number

  constructor(options: ClientOptions) {
    this.#baseUrl = options.baseUrl.replace(/\/+$/, '')
    this.#headers = options.apiKey === undefined ? {} : { Authorization: `Bearer ${options.apiKey}` }
    this.#fetch = options.fetch ?? ((input, init) => fetch(input, init))
    this.#timeoutMs = options.timeoutMs ?? 10_000
  }

  /** Findings in; ranked causes, next checks, plan and cautions out. */
  diagnose(body: Input<'diagnose'>, options?: CallOptions): Promise<Result<Answer<'diagnose'>>> {
    return this.#post('/v1/diagnose', body, options)
  }

  /** Size of a standby battery from its loads. */
  sizeBattery(body: Input<'sizeBattery'>, options?: CallOptions): Promise<Result<Answer<'sizeBattery'>>> {
    return this.#post('/v1/battery/size', body, options)
  }

  /** Which of the items given, or of the shop's catalogue, fit. */
  matchParts(body: Input<'matchParts'>, options?: CallOptions): Promise<Result<Answer<'matchParts'>>> {
    return this.#post('/v1/parts/match', body, options)
  }

  /** What a meter reading says about its bands, with the meter's own error. */
  interpretReading(
    body: Input<'interpretReading'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'interpretReading'>>> {
    return this.#post('/v1/readings/interpret', body, options)
  }

  /** Many meter readings at once: a value or a problem for each, in order. */
  interpretReadings(
    body: Input<'interpretReadings'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'interpretReadings'>>> {
    return this.#post('/v1/readings/interpret/batch', body, options)
  }

  /** Whether an overlay keeps the rules of the ontology and changes nothing that was released. */
  validateOverlay(body: Input<'validateOverlay'>, options?: CallOptions): Promise<Result<Answer<'validateOverlay'>>> {
    return this.#post('/v1/overlays/validate', body, options)
  }

  /** What the service can do: releases, languages, limits. */
  getCapabilities(options?: CallOptions): Promise<Result<Answer<'getCapabilities'>>> {
    return this.#get('/v1/capabilities', {}, options)
  }

  /** Releases of the ontology and the current one. */
  listReleases(options?: CallOptions): Promise<Result<Answer<'listReleases'>>> {
    return this.#get('/v1/ontology', {}, options)
  }

  /** Files of a release with sizes and SHA-256; `latest` is accepted. */
  getManifest(release: string, options?: CallOptions): Promise<Result<Answer<'getManifest'>>> {
    return this.#get(`/v1/ontology/${encode(release)}`, {}, options)
  }

  /** One page of concepts; pass `next` of a page as `cursor` for the page after it. */
  listConcepts(
    release: string,
    query: Query<'listConcepts'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'listConcepts'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/concepts`, query, options)
  }

  /** What changed from the release `since` to `release`, concept by concept. */
  listChanges(release: string, since: string, options?: CallOptions): Promise<Result<Answer<'listChanges'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/changes`, { since }, options)
  }

  /** The concept that an id ever stood for, as the newest release that holds it describes it. */
  resolveId(id: string, options?: CallOptions): Promise<Result<Answer<'resolveId'>>> {
    return this.#get(`/id/${encode(id)}`, {}, options)
  }

  /** Open standards whose codes lead to concepts. */
  listCrosswalks(release: string, options?: CallOptions): Promise<Result<Answer<'listCrosswalks'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/crosswalks`, {}, options)
  }

  /** Codes of a standard with where each leads, a page at a time. */
  listCodes(
    release: string,
    scheme: string,
    query: Query<'listCodes'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'listCodes'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/crosswalks/${encode(scheme)}`, query, options)
  }

  /** One code of a standard: the concepts it leads to, or why there are none. */
  getCode(release: string, scheme: string, code: string, options?: CallOptions): Promise<Result<Answer<'getCode'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/crosswalks/${encode(scheme)}/${encode(code)}`, {}, options)
  }

  /** Codes to concepts or concepts to codes, many at once. */
  translateCodes(
    release: string,
    body: Input<'translateCodes'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'translateCodes'>>> {
    return this.#post(`/v1/ontology/${encode(release)}/crosswalks/translate`, body, options)
  }

  /** One concept whole, by an id such as `condition/mains-missing`. */
  getConcept(release: string, id: string, options?: CallOptions): Promise<Result<Answer<'getConcept'>>> {
    return this.#get(`/v1/ontology/${encode(release)}/concepts/${encode(id)}`, {}, options)
  }

  #get<T>(path: string, query: Parameters, options?: CallOptions): Promise<Result<T>> {
    const search = new URLSearchParams()
    for (const [name, value] of Object.entries(query)) if (value !== undefined) search.set(name, String(value))
    return this.#send(search.size > 0 ? `${path}?${search}` : path, { method: 'GET' }, options)
  }

  #post<T>(path: string, body: unknown, options?: CallOptions): Promise<Result<T>> {
    const headers = { 'Content-Type': 'application/json' }
    return this.#send(path, { method: 'POST', headers, body: JSON.stringify(body) }, options)
  }

  async #send<T>(path: string, init: RequestInit, options: CallOptions = {}): Promise<Result<T>> {
    const timeout = AbortSignal.timeout(this.#timeoutMs)
    const signal = options.signal ? AbortSignal.any([options.signal, timeout]) : timeout
    const headers = { Accept: 'application/json', ...this.#headers, ...init.headers }
    let response: Response
    try {
      response = await this.#fetch(this.#baseUrl + path, { ...init, headers, signal })
    } catch (cause) {
      throw new ConnectionError(`${init.method} ${path}: no answer`, { cause })
    }
    if (!response.ok) throw await errorOf(response)
    const requestId = response.headers.get('x-request-id') ?? undefined
    return { value: (await response.json()) as T, requestId, response }
  }
}
