import { ConnectionError } from './errors.ts'
import { jsonLines } from './json-lines.ts'
import { type CallOptions, Transport, type TransportOptions } from './transport.ts'
import type { operations } from './types.ts'

type Json<T> = T extends { content: { 'application/json': infer Body } } ? Body : never
type Operations = operations
/** Body of an operation's request. */
export type Input<O extends keyof Operations> = Operations[O] extends { requestBody: infer B } ? Json<B> : never
/** Body of an operation's 200 or 201 answer. */
export type Answer<O extends keyof Operations> = Operations[O] extends { responses: { 200: infer R } }
  ? Json<R>
  : Operations[O] extends { responses: { 201: infer R } }
    ? Json<R>
    : never
/** Query parameters of an operation. */
export type Query<O extends keyof Operations> = Operations[O] extends { parameters: { query?: infer Q } }
  ? NonNullable<Q>
  : never

export type { Attempt, CallOptions } from './transport.ts'

export interface ClientOptions extends TransportOptions {
  /** Where the service is, for example http://127.0.0.1:8787 */
  baseUrl: string
  /** A shop's key; only needed for routes over the shop's own data. */
  apiKey?: string
}

/** An answer with the request id and the response it came in. */
export type Result<T> = { value: T; requestId: string | undefined; response: Response }

/** A stored call as it was last seen: any answer that has both will do. A write builds on that state and no other. */
export interface CallAt {
  call: string
  seq: number
}

type Parameters = Record<string, string | number | boolean | undefined>

const requestIdOf = (response: Response) => response.headers.get('x-request-id') ?? undefined

async function sha256Base64(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  return btoa(String.fromCharCode(...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))))
}

function withQuery(path: string, query: Parameters): string {
  const search = new URLSearchParams()
  for (const [name, value] of Object.entries(query)) if (value !== undefined) search.set(name, String(value))
  return search.size > 0 ? `${path}?${search}` : path
}

const encode = (path: string) => path.split('/').map(encodeURIComponent).join('/')

/**
 * Client of the Trouble Atlas API: one method for each operation, named as its operationId.
 * Every method resolves to `{ value, requestId, response }`; a refusal is a TroubleAtlasError.
 */
export class TroubleAtlas {
  readonly #baseUrl: string
  readonly #headers: Record<string, string>
  readonly #transport: Transport

  constructor(options: ClientOptions) {
    this.#baseUrl = options.baseUrl.replace(/\/+$/, '')
    this.#headers = options.apiKey === undefined ? {} : { Authorization: `Bearer ${options.apiKey}` }
    this.#transport = new Transport(options)
  }

  /** Findings in; ranked causes, next checks, plan and cautions out. */
  diagnose(body: Input<'diagnose'>, options?: CallOptions): Promise<Result<Answer<'diagnose'>>> {
    return this.#post('/v1/diagnose', body, options)
  }

  /** Signals of open standards, alone or in a log, to events and findings. */
  decodeSignals(body: Input<'decodeSignals'>, options?: CallOptions): Promise<Result<Answer<'decodeSignals'>>> {
    return this.#post('/v1/signals/decode', body, options)
  }

  /**
   * A large log, as text or as a stream of it, decoded line by line as it comes. A stream is sent once: it is not tried again.
   * The whole must end within `totalTimeoutMs`.
   */
  async streamSignals(
    log: string | ReadableStream<Uint8Array>,
    query: Query<'streamSignals'> = {},
    options?: CallOptions,
  ): Promise<Result<AsyncGenerator<Answer<'decodeSignals'>['lines'][number]>>> {
    const headers = { 'Content-Type': 'text/plain', Accept: 'application/x-ndjson' }
    const init = { method: 'POST', headers, body: log, duplex: 'half' }
    const response = await this.#send(withQuery('/v1/signals/stream', query), init, options)
    return { value: jsonLines(response), requestId: requestIdOf(response), response }
  }

  /** What a partial look at a display establishes, and the next act that shows most. */
  decodeDisplay(body: Input<'decodeDisplay'>, options?: CallOptions): Promise<Result<Answer<'decodeDisplay'>>> {
    return this.#post('/v1/displays/decode', body, options)
  }

  /** Every fault of a display profile. */
  validateProfile(body: Input<'validateProfile'>, options?: CallOptions): Promise<Result<Answer<'validateProfile'>>> {
    return this.#post('/v1/profiles/validate', body, options)
  }

  /** What the times of past troubles tell. */
  analyseHistory(body: Input<'analyseHistory'>, options?: CallOptions): Promise<Result<Answer<'analyseHistory'>>> {
    return this.#post('/v1/histories/analyse', body, options)
  }

  /** Findings that a free text suggests, with what to confirm. */
  interpretText(body: Input<'interpretText'>, options?: CallOptions): Promise<Result<Answer<'interpretText'>>> {
    return this.#post('/v1/text/interpret', body, options)
  }

  /** Size of a standby battery from its loads. */
  sizeBattery(body: Input<'sizeBattery'>, options?: CallOptions): Promise<Result<Answer<'sizeBattery'>>> {
    return this.#post('/v1/battery/size', body, options)
  }

  /** Many batteries at once: a value or a problem for each, in order. */
  sizeBatteries(body: Input<'sizeBatteries'>, options?: CallOptions): Promise<Result<Answer<'sizeBatteries'>>> {
    return this.#post('/v1/battery/size/batch', body, options)
  }

  /** How long a battery carries its load, as a range over several models. */
  estimateBatteryRuntime(
    body: Input<'estimateBatteryRuntime'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateBatteryRuntime'>>> {
    return this.#post('/v1/battery/runtime', body, options)
  }

  /** Many runtimes at once. */
  estimateBatteryRuntimes(
    body: Input<'estimateBatteryRuntimes'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateBatteryRuntimes'>>> {
    return this.#post('/v1/battery/runtime/batch', body, options)
  }

  /** How long a flat battery takes to recharge beside the load. */
  estimateRecharge(
    body: Input<'estimateRecharge'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateRecharge'>>> {
    return this.#post('/v1/battery/recharge', body, options)
  }

  /** Many recharges at once. */
  estimateRecharges(
    body: Input<'estimateRecharges'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateRecharges'>>> {
    return this.#post('/v1/battery/recharge/batch', body, options)
  }

  /** Whether a battery still has its capacity, from whatever is known of it. */
  assessBatteryHealth(
    body: Input<'assessBatteryHealth'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'assessBatteryHealth'>>> {
    return this.#post('/v1/battery/health', body, options)
  }

  /** Many batteries at once. */
  assessBatteriesHealth(
    body: Input<'assessBatteriesHealth'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'assessBatteriesHealth'>>> {
    return this.#post('/v1/battery/health/batch', body, options)
  }

  /** Life of the primary cells of a device, in months. */
  estimateCellLife(
    body: Input<'estimateCellLife'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateCellLife'>>> {
    return this.#post('/v1/cells/life', body, options)
  }

  /** Many devices at once. */
  estimateCellLives(
    body: Input<'estimateCellLives'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'estimateCellLives'>>> {
    return this.#post('/v1/cells/life/batch', body, options)
  }

  /** What a supervised loop reads in each state, and what a reading may mean. */
  analyseLoop(body: Input<'analyseLoop'>, options?: CallOptions): Promise<Result<Answer<'analyseLoop'>>> {
    return this.#post('/v1/circuits/loop', body, options)
  }

  /** Many loops at once. */
  analyseLoops(body: Input<'analyseLoops'>, options?: CallOptions): Promise<Result<Answer<'analyseLoops'>>> {
    return this.#post('/v1/circuits/loop/batch', body, options)
  }

  /** What a supervised siren circuit reads in each state, and what it draws in alarm. */
  analyseSounder(body: Input<'analyseSounder'>, options?: CallOptions): Promise<Result<Answer<'analyseSounder'>>> {
    return this.#post('/v1/circuits/sounder', body, options)
  }

  /** Many siren circuits at once. */
  analyseSounders(body: Input<'analyseSounders'>, options?: CallOptions): Promise<Result<Answer<'analyseSounders'>>> {
    return this.#post('/v1/circuits/sounder/batch', body, options)
  }

  /** Drop, thinnest wire and longest run of a two-conductor cable. */
  computeWireRun(body: Input<'computeWireRun'>, options?: CallOptions): Promise<Result<Answer<'computeWireRun'>>> {
    return this.#post('/v1/wires/run', body, options)
  }

  /** Many runs at once. */
  computeWireRuns(body: Input<'computeWireRuns'>, options?: CallOptions): Promise<Result<Answer<'computeWireRuns'>>> {
    return this.#post('/v1/wires/run/batch', body, options)
  }

  /** Which resistor it is, by bands, letters or a meter. */
  identifyResistor(
    body: Input<'identifyResistor'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'identifyResistor'>>> {
    return this.#post('/v1/resistors/identify', body, options)
  }

  /** Many resistors at once. */
  identifyResistors(
    body: Input<'identifyResistors'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'identifyResistors'>>> {
    return this.#post('/v1/resistors/identify/batch', body, options)
  }

  /** Whether a plug-in supply gives what the system needs. */
  checkSupply(body: Input<'checkSupply'>, options?: CallOptions): Promise<Result<Answer<'checkSupply'>>> {
    return this.#post('/v1/supplies/check', body, options)
  }

  /** Many supplies at once. */
  checkSupplies(body: Input<'checkSupplies'>, options?: CallOptions): Promise<Result<Answer<'checkSupplies'>>> {
    return this.#post('/v1/supplies/check/batch', body, options)
  }

  /** What a new part must be; each `requirement` of the answer is a body for `matchParts`. */
  findPartNeeds(body: Input<'findPartNeeds'>, options?: CallOptions): Promise<Result<Answer<'findPartNeeds'>>> {
    return this.#post('/v1/parts/needs', body, options)
  }

  /** Which of the items given, or of the shop's catalogue, fit. */
  matchParts(body: Input<'matchParts'>, options?: CallOptions): Promise<Result<Answer<'matchParts'>>> {
    return this.#post('/v1/parts/match', body, options)
  }

  /** What the title of a part says, what to confirm, and where it contradicts what is known. */
  readPart(body: Input<'readPart'>, options?: CallOptions): Promise<Result<Answer<'readPart'>>> {
    return this.#post('/v1/parts/read', body, options)
  }

  /** Many titles at once: a value or a problem for each, in order. */
  readParts(body: Input<'readParts'>, options?: CallOptions): Promise<Result<Answer<'readParts'>>> {
    return this.#post('/v1/parts/read/batch', body, options)
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

  /** The shop's overlays by name; needs a key. */
  listOverlays(options?: CallOptions): Promise<Result<Answer<'listOverlays'>>> {
    return this.#get('/v1/overlays', {}, options)
  }

  /** One overlay of the shop; needs a key. */
  getOverlay(name: string, options?: CallOptions): Promise<Result<Answer<'getOverlay'>>> {
    return this.#get(`/v1/overlays/${encodeURIComponent(name)}`, {}, options)
  }

  /** Stores an overlay under its name, in place of one that is there; needs a key. */
  putOverlay(name: string, body: Input<'putOverlay'>, options?: CallOptions): Promise<Result<Answer<'putOverlay'>>> {
    return this.#sendBody('PUT', `/v1/overlays/${encodeURIComponent(name)}`, body, options)
  }

  /** Takes an overlay away; needs a key. */
  deleteOverlay(name: string, options?: CallOptions): Promise<Result<undefined>> {
    return this.#sendJson(`/v1/overlays/${encodeURIComponent(name)}`, { method: 'DELETE' }, options)
  }

  /** The shop's profiles by name; needs a key. */
  listProfiles(options?: CallOptions): Promise<Result<Answer<'listProfiles'>>> {
    return this.#get('/v1/profiles', {}, options)
  }

  /** One profile of the shop; needs a key. */
  getProfile(name: string, options?: CallOptions): Promise<Result<Answer<'getProfile'>>> {
    return this.#get(`/v1/profiles/${encodeURIComponent(name)}`, {}, options)
  }

  /** Stores a profile under its name, in place of one that is there; needs a key. */
  putProfile(name: string, body: Input<'putProfile'>, options?: CallOptions): Promise<Result<Answer<'putProfile'>>> {
    return this.#sendBody('PUT', `/v1/profiles/${encodeURIComponent(name)}`, body, options)
  }

  /** Takes a profile away; needs a key. */
  deleteProfile(name: string, options?: CallOptions): Promise<Result<undefined>> {
    return this.#sendJson(`/v1/profiles/${encodeURIComponent(name)}`, { method: 'DELETE' }, options)
  }

  /** What the shop's closed calls taught: learned against published rates; needs a key. */
  getRates(query: Query<'getRates'> = {}, options?: CallOptions): Promise<Result<Answer<'getRates'>>> {
    return this.#get('/v1/rates', query, options)
  }

  /** A set of rates that an answer rested on, by the id in its basis; needs a key. */
  getKeptRates(id: string, options?: CallOptions): Promise<Result<Answer<'getKeptRates'>>> {
    return this.#get(`/v1/rates/${encodeURIComponent(id)}`, {}, options)
  }

  /** Whether the shop learns and shares counts; the ETag of the response is for putRateSettings. Needs a key. */
  getRateSettings(options?: CallOptions): Promise<Result<Answer<'getRateSettings'>>> {
    return this.#get('/v1/rates/settings', {}, options)
  }

  /** Replaces the settings whose ETag is given; needs a key. */
  putRateSettings(
    body: Input<'putRateSettings'>,
    etag: string,
    options?: CallOptions,
  ): Promise<Result<Answer<'putRateSettings'>>> {
    return this.#sendBody('PUT', '/v1/rates/settings', body, options, { 'If-Match': etag })
  }

  /** The shop's keys, oldest first, a page at a time; needs a key with the scope admin, as all about keys. */
  listKeys(query: Query<'listKeys'> = {}, options?: CallOptions): Promise<Result<Answer<'listKeys'>>> {
    return this.#get('/v1/keys', query, options)
  }

  /** What is known of one key. */
  getKey(id: string, options?: CallOptions): Promise<Result<Answer<'getKey'>>> {
    return this.#get(`/v1/keys/${encode(id)}`, {}, options)
  }

  /** Makes a key; `value.key` is shown this once. Sent once: a second attempt could make a second key. */
  createKey(body: Input<'createKey'>, options?: CallOptions): Promise<Result<Answer<'createKey'>>> {
    return this.#post('/v1/keys', body, { ...options, retries: 0 })
  }

  /** Puts a new key in the place of one, which stays valid for the overlap; sent once. */
  rotateKey(id: string, body: Input<'rotateKey'> = {}, options?: CallOptions): Promise<Result<Answer<'rotateKey'>>> {
    return this.#post(`/v1/keys/${encode(id)}/rotate`, body, { ...options, retries: 0 })
  }

  /** Revokes a key at once. */
  deleteKey(id: string, query: Query<'deleteKey'> = {}, options?: CallOptions): Promise<Result<undefined>> {
    return this.#sendJson(withQuery(`/v1/keys/${encode(id)}`, query), { method: 'DELETE' }, options)
  }

  /** Revokes a key at once and says how many admin keys are left. */
  revokeKey(id: string, query: Query<'revokeKey'> = {}, options?: CallOptions): Promise<Result<Answer<'revokeKey'>>> {
    return this.#sendJson(withQuery(`/v1/keys/${encode(id)}/revoke`, query), { method: 'POST' }, options)
  }

  /** Opens an import of the shop's catalogue; needs a key. With the same idempotency key it is opened once. */
  openCatalogueImport(
    body: Input<'openCatalogueImport'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'openCatalogueImport'>>> {
    return this.#once('/v1/catalogue/imports', body, {}, options)
  }

  /** Sends one part of an import, as text or as a stream of it; a stream is sent once. */
  putCatalogueImportPart(
    id: string,
    part: number,
    content: string | ReadableStream<Uint8Array>,
    type: 'text/csv' | 'text/tab-separated-values' | 'application/x-ndjson' | 'application/ld+json' = 'text/csv',
    options?: CallOptions,
  ): Promise<Result<Answer<'putCatalogueImportPart'>>> {
    const init = { method: 'PUT', headers: { 'Content-Type': type }, body: content, duplex: 'half' }
    return this.#sendJson(`/v1/catalogue/imports/${encodeURIComponent(id)}/parts/${part}`, init, options)
  }

  /** Ends an import: all of it goes into the catalogue at once, or nothing. */
  commitCatalogueImport(
    id: string,
    body: Input<'commitCatalogueImport'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'commitCatalogueImport'>>> {
    return this.#post(`/v1/catalogue/imports/${encodeURIComponent(id)}/commit`, body, options)
  }

  /** Where an import stands. */
  getCatalogueImport(id: string, options?: CallOptions): Promise<Result<Answer<'getCatalogueImport'>>> {
    return this.#get(`/v1/catalogue/imports/${encodeURIComponent(id)}`, {}, options)
  }

  /** What an import found, row by row. */
  getCatalogueImportReport(id: string, options?: CallOptions): Promise<Result<Answer<'getCatalogueImportReport'>>> {
    return this.#get(`/v1/catalogue/imports/${encodeURIComponent(id)}/report`, {}, options)
  }

  /** Throws an open import away. */
  dropCatalogueImport(id: string, options?: CallOptions): Promise<Result<undefined>> {
    return this.#sendJson(`/v1/catalogue/imports/${encodeURIComponent(id)}`, { method: 'DELETE' }, options)
  }

  /** One page of the shop's items; pass `next` of a page as `cursor` for the page after it. */
  listCatalogueItems(
    query: Query<'listCatalogueItems'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'listCatalogueItems'>>> {
    return this.#get('/v1/catalogue/items', query, options)
  }

  /** One item of the shop. */
  getCatalogueItem(sku: string, options?: CallOptions): Promise<Result<Answer<'getCatalogueItem'>>> {
    return this.#get(`/v1/catalogue/items/${encodeURIComponent(sku)}`, {}, options)
  }

  /** Puts one item, new or in the place of what it was. */
  putCatalogueItem(
    sku: string,
    body: Input<'putCatalogueItem'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'putCatalogueItem'>>> {
    return this.#sendBody('PUT', `/v1/catalogue/items/${encodeURIComponent(sku)}`, body, options)
  }

  /** Removes an item for good. */
  deleteCatalogueItem(sku: string, options?: CallOptions): Promise<Result<undefined>> {
    return this.#sendJson(`/v1/catalogue/items/${encodeURIComponent(sku)}`, { method: 'DELETE' }, options)
  }

  /** The shop's catalogue as a stream of text, which goes back in unchanged as a part of an import. */
  async exportCatalogue(
    type: 'text/csv' | 'application/x-ndjson' | 'application/ld+json' = 'text/csv',
    query: Query<'exportCatalogue'> = {},
    options?: CallOptions,
  ): Promise<Result<ReadableStream<Uint8Array>>> {
    const init = { method: 'GET', headers: { Accept: type } }
    const response = await this.#send(withQuery('/v1/catalogue/export', query), init, options)
    const value = response.body as ReadableStream<Uint8Array>
    return { value, requestId: requestIdOf(response), response }
  }

  /** Items for what somebody types, each with why it is found. */
  searchCatalogue(query: Query<'searchCatalogue'>, options?: CallOptions): Promise<Result<Answer<'searchCatalogue'>>> {
    return this.#get('/v1/catalogue/search', query, options)
  }

  /** What the service can do: releases, languages, limits. */
  getCapabilities(options?: CallOptions): Promise<Result<Answer<'getCapabilities'>>> {
    return this.#get('/v1/capabilities', {}, options)
  }

  /** Paths of the API that still answer and will not for ever, each with its successor. */
  listDeprecations(options?: CallOptions): Promise<Result<Answer<'listDeprecations'>>> {
    return this.#get('/v1/deprecations', {}, options)
  }

  /** Releases of the ontology and the current one. */
  listReleases(options?: CallOptions): Promise<Result<Answer<'listReleases'>>> {
    return this.#get('/v1/ontology', {}, options)
  }

  /** Files of a release with sizes and SHA-256; `latest` is accepted. */
  getManifest(release: string, options?: CallOptions): Promise<Result<Answer<'getManifest'>>> {
    return this.#get(`/v1/ontology/${encode(release)}`, {}, options)
  }

  /** A file of a release as bytes, checked against the SHA-256 that the service states for it. */
  async getReleaseFile(release: string, name: string, options?: CallOptions): Promise<Result<Uint8Array>> {
    const path = `/v1/ontology/${encode(release)}/files/${encode(name)}`
    const response = await this.#send(path, { method: 'GET', headers: { Accept: '*/*' } }, options)
    const value = new Uint8Array(await response.arrayBuffer())
    const stated = /sha-256=:([^:]+):/.exec(response.headers.get('repr-digest') ?? '')?.[1]
    if (stated !== undefined && stated !== (await sha256Base64(value)))
      throw new ConnectionError(`GET ${path}: the bytes do not have the stated SHA-256`, { cause: stated })
    return { value, requestId: requestIdOf(response), response }
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

  /** Opens a call; the same `idempotencyKey` again answers with the call that was opened first. Calls need a key of their scope. */
  createCall(body: Input<'createCall'> = {}, options?: CallOptions): Promise<Result<Answer<'createCall'>>> {
    return this.#once('/v1/calls', body, {}, options)
  }

  /** The shop's calls, the newest first; pass `next` of a page as `cursor` for the page after it. */
  listCalls(query: Query<'listCalls'> = {}, options?: CallOptions): Promise<Result<Answer<'listCalls'>>> {
    return this.#get('/v1/calls', query, options)
  }

  /** Every call of the shop whole, line by line as they come. */
  async exportCalls(options?: CallOptions): Promise<Result<AsyncGenerator<unknown>>> {
    const init = { method: 'GET', headers: { Accept: 'application/x-ndjson' } }
    const response = await this.#send('/v1/calls/export', init, options)
    return { value: jsonLines(response), requestId: requestIdOf(response), response }
  }

  /** How long the shop keeps its calls. */
  getCallSettings(options?: CallOptions): Promise<Result<Answer<'getCallSettings'>>> {
    return this.#get('/v1/calls/settings', {}, options)
  }

  /** Sets how long calls are kept; `was` is the setting that this replaces. */
  putCallSettings(
    was: Answer<'getCallSettings'>,
    body: Input<'putCallSettings'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'putCallSettings'>>> {
    const match = { 'If-Match': `"days-${was.retentionDays}"` }
    return this.#sendBody('PUT', '/v1/calls/settings', body, options, match)
  }

  /** A call as it stands. */
  getCall(call: string, options?: CallOptions): Promise<Result<Answer<'getCall'>>> {
    return this.#get(`/v1/calls/${encode(call)}`, {}, options)
  }

  /** Erases a call with all that was said in it. */
  eraseCall(at: CallAt, options?: CallOptions): Promise<Result<undefined>> {
    const headers = { 'If-Match': `"${at.seq}"` }
    return this.#sendJson(`/v1/calls/${encode(at.call)}`, { method: 'DELETE', headers }, options)
  }

  /** The log of a call, a page at a time. */
  listCallEvents(
    call: string,
    query: Query<'listCallEvents'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'listCallEvents'>>> {
    return this.#get(`/v1/calls/${encode(call)}/events`, query, options)
  }

  /** Adds findings in order, with who said them. */
  addFindings(at: CallAt, body: Input<'addFindings'>, options?: CallOptions): Promise<Result<Answer<'addFindings'>>> {
    return this.#write(at, 'findings', body, options)
  }

  /** Records what was asked, answered, checked, skipped, done or withdrawn. */
  recordStep(at: CallAt, body: Input<'recordStep'>, options?: CallOptions): Promise<Result<Answer<'recordStep'>>> {
    return this.#write(at, 'steps', body, options)
  }

  /** Adds a short note; what identifies a person is taken out of it. */
  addNote(at: CallAt, body: Input<'addNote'>, options?: CallOptions): Promise<Result<Answer<'addNote'>>> {
    return this.#write(at, 'notes', body, options)
  }

  /** Whom to call back, when and how. */
  arrangeContact(
    at: CallAt,
    body: Input<'arrangeContact'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'arrangeContact'>>> {
    return this.#write(at, 'contact', body, options)
  }

  /** An attempt to reach the caller. */
  recordAttempt(
    at: CallAt,
    body: Input<'recordAttempt'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'recordAttempt'>>> {
    return this.#write(at, 'attempts', body, options)
  }

  /** The answer to the closing question. */
  followUpCall(
    at: CallAt,
    body: Input<'followUpCall'>,
    options?: CallOptions,
  ): Promise<Result<Answer<'followUpCall'>>> {
    return this.#write(at, 'follow-up', body, options)
  }

  /** Opens a closed call again. */
  reopenCall(at: CallAt, body: Input<'reopenCall'>, options?: CallOptions): Promise<Result<Answer<'reopenCall'>>> {
    return this.#write(at, 'reopen', body, options)
  }

  /** Diagnoses all findings of the call and keeps the answer. */
  adviseCall(at: CallAt, body: Input<'adviseCall'>, options?: CallOptions): Promise<Result<Answer<'adviseCall'>>> {
    return this.#write(at, 'advice', body, options)
  }

  /** An answer as it was given. */
  getCallAdvice(call: string, seq: number, options?: CallOptions): Promise<Result<Answer<'getCallAdvice'>>> {
    return this.#get(`/v1/calls/${encode(call)}/advice/${seq}`, {}, options)
  }

  /** What today's engine says to the findings that an answer was given on, against that answer. */
  replayCall(
    call: string,
    query: Query<'replayCall'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'replayCall'>>> {
    return this.#get(`/v1/calls/${encode(call)}/replay`, query, options)
  }

  /** Closes a call with what it was and what cleared it. */
  closeCall(at: CallAt, body: Input<'closeCall'>, options?: CallOptions): Promise<Result<Answer<'closeCall'>>> {
    return this.#write(at, 'close', body, options)
  }

  /** The call on a sheet: a page to print, or plain text. */
  async getCallSummary(
    call: string,
    form: 'text/html' | 'text/plain',
    query: Query<'getCallSummary'> = {},
    options?: CallOptions,
  ): Promise<Result<string>> {
    const path = withQuery(`/v1/calls/${encode(call)}/summary`, query)
    const response = await this.#send(path, { method: 'GET', headers: { Accept: form } }, options)
    return { value: await response.text(), requestId: requestIdOf(response), response }
  }

  /** Texts for the monitoring center and the insurer. */
  getCallNotices(
    call: string,
    query: Query<'getCallNotices'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'getCallNotices'>>> {
    return this.#get(`/v1/calls/${encode(call)}/notices`, query, options)
  }

  /** Other calls of the same site, and what recurs in them. */
  listRelatedCalls(
    call: string,
    query: Query<'listRelatedCalls'> = {},
    options?: CallOptions,
  ): Promise<Result<Answer<'listRelatedCalls'>>> {
    return this.#get(`/v1/calls/${encode(call)}/related`, query, options)
  }

  #get<T>(path: string, query: Parameters, options?: CallOptions): Promise<Result<T>> {
    return this.#sendJson(withQuery(path, query), { method: 'GET' }, options)
  }

  #post<T>(path: string, body: unknown, options?: CallOptions): Promise<Result<T>> {
    return this.#sendBody('POST', path, body, options)
  }

  /** A write that may be sent again: what it made once it does not make twice. */
  #once<T>(path: string, body: unknown, headers: Record<string, string>, options?: CallOptions): Promise<Result<T>> {
    const key = { 'Idempotency-Key': options?.idempotencyKey ?? crypto.randomUUID() }
    return this.#sendBody('POST', path, body, options, { ...headers, ...key })
  }

  #write<T>({ call, seq }: CallAt, path: string, body: unknown, options?: CallOptions): Promise<Result<T>> {
    return this.#once(`/v1/calls/${encode(call)}/${path}`, body, { 'If-Match': `"${seq}"` }, options)
  }

  #sendBody<T>(
    method: string,
    path: string,
    body: unknown,
    options?: CallOptions,
    more: Record<string, string> = {},
  ): Promise<Result<T>> {
    const headers = { 'Content-Type': 'application/json', ...more }
    return this.#sendJson(path, { method, headers, body: JSON.stringify(body) }, options)
  }

  async #sendJson<T>(path: string, init: RequestInit & { method: string }, options?: CallOptions): Promise<Result<T>> {
    const response = await this.#send(path, init, options)
    const value = (response.status === 204 || response.status === 304 ? undefined : await response.json()) as T
    return { value, requestId: requestIdOf(response), response }
  }

  #send(path: string, init: RequestInit & { method: string }, options?: CallOptions): Promise<Response> {
    const condition = options?.ifNoneMatch === undefined ? {} : { 'If-None-Match': options.ifNoneMatch }
    const headers = { Accept: 'application/json', ...this.#headers, ...condition, ...init.headers }
    return this.#transport.send(this.#baseUrl + path, path, { ...init, headers }, options)
  }
}
