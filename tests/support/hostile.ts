import { expect } from 'vitest'
import { methodsOf as methodsOfRoute } from '../../src/http/offer-query.ts'
import { smallProfile } from './display-profiles.ts'
import { solarOverlay } from './overlay.ts'
import { ask, bareApp, type Send } from './service.ts'

const app = bareApp()
export const send: Send = async (path, init) => app.request(path, init)

export interface WalkedRoute {
  method: string
  path: string
  statuses: string[]
  hasBody: boolean
  /** Media types that its 200 answer can have. */
  offers: string[]
  /** Every method that the path answers to. */
  methods: string[]
}

/** A path that answers, for each path parameter. */
const SAMPLE: Record<string, string> = {
  release: 'latest',
  name: 'ontology.json',
  kind: 'condition',
  slug: 'mains-missing',
  scheme: 'dc-05',
}
/** Where a parameter's sample depends on the path, or a query is needed. */
const samplePath = (path: string) =>
  path
    .replace('/crosswalks/{scheme}/{code}', '/crosswalks/{scheme}/301')
    .replace('/problems/{code}', '/problems/unknown-id')
    .replace(/\/changes$/, '/changes?since=0.1.0')
    .replace(/\{(\w+)\}/g, (_, name: string) => SAMPLE[name]!)

const DEFINED = app.openAPIRegistry.definitions.flatMap((definition) =>
  definition.type === 'route' ? [definition.route] : [],
)
const patternOf = (path: string) => new RegExp(`^${path.replace(/\{\w+\}/g, '[^/]+')}$`)

function methodsOf(path: string): string[] {
  const own = DEFINED.filter((route) => patternOf(route.path).test(path.split('?')[0]!))
  return [...new Set(own.flatMap(methodsOfRoute))].sort()
}

/** Every published operation that needs no key, with a path that answers. */
export const ROUTES: WalkedRoute[] = DEFINED.filter(
  ({ security }) => security === undefined || security.some((need) => Object.keys(need).length === 0),
).map((route) => {
  const path = samplePath(route.path)
  const ok = route.responses[200] as { content?: Record<string, unknown> }
  return {
    method: route.method.toUpperCase(),
    path,
    statuses: Object.keys(route.responses),
    hasBody: route.request?.body?.content['application/json'] !== undefined,
    offers: path.includes('/files/') ? ['application/json'] : Object.keys(ok.content ?? {}),
    methods: methodsOf(path),
  }
})

/** The same computations by the method QUERY. */
export const QUERIES: WalkedRoute[] = ROUTES.filter(
  ({ method, methods }) => method === 'POST' && methods.includes('QUERY'),
).map((route) => ({ ...route, method: 'QUERY' }))

/** Bodies that use every field of an operation. */
const FULL: Record<string, object> = {
  '/v1/overlays/validate': solarOverlay(),
  '/v1/ontology/latest/crosswalks/translate': { items: [{ scheme: 'dc-05', code: '301' }] },
  '/v1/displays/decode': {
    profile: smallProfile(),
    observed: [{ screen: 'front', on: ['wave'], off: ['eye'], readToTheEnd: true }],
  },
  '/v1/diagnose': {
    release: '0.2.0',
    language: 'en-US',
    reserve: { ratedCapacity: { value: 7, unit: 'Ah' }, standbyCurrent: { value: 150, unit: 'mA' } },
    findings: [
      { kind: 'condition', condition: 'condition/mains-missing', state: 'present', reliability: 0.9, tense: 'now' },
      {
        kind: 'condition',
        condition: 'condition/radio-device-missing',
        state: 'present',
        device: 'hall',
        observedAt: '2026-01-02T03:04:05Z',
      },
      { kind: 'answer', check: 'check/see-lights-dim', result: 'steady', id: 'a', source: 'phone' },
      {
        kind: 'reading',
        reading: 'reading/battery-rest-voltage',
        quantity: { value: 11.9, unit: 'V' },
        meter: { percentOfReading: 0.8, digits: 2, resolution: { value: 10, unit: 'mV' } },
      },
      { kind: 'context', context: 'context/storm-recent', state: 'holds' },
      { kind: 'signal', scheme: 'dc-05', code: '302', state: 'present', until: '2026-01-03T00:00:00Z' },
      { kind: 'screen', complete: true },
      { kind: 'tried', remedy: 'remedy/replace-storage-battery', result: 'no-change', reliability: 0.8 },
    ],
    limits: {
      who: 'handy',
      tools: ['multimeter', 'tape'],
      duration: { value: 1, unit: 'h' },
      ownerVerified: true,
      at: '2026-01-02T03:10:00Z',
      lackingSenses: ['smell'],
      lackingTools: ['tape'],
      questionsAtOnce: 2,
    },
  },
  '/v1/battery/size': {
    loads: [
      {
        label: 'panel',
        quantity: 1,
        standbyCurrent: { value: 120, unit: 'mA' },
        alarmCurrent: { value: 0.9, unit: 'A' },
      },
      { quantity: 6, standbyCurrent: { value: 15, unit: 'mA' } },
    ],
    duty: 'nfpa-72-household',
    standbyDuration: { value: 24, unit: 'h' },
    alarmDuration: { value: 15, unit: 'min' },
    nominalVoltage: { value: 12, unit: 'V' },
    method: 'sections',
    exponent: 1.2,
    ageingFactor: 1.25,
    designFactor: 1.1,
    temperature: { value: 10, unit: 'Cel' },
    limits: {
      maximumCapacity: { value: 18, unit: 'Ah' },
      supplyCurrent: { value: 2, unit: 'A' },
      chargeLimit: { value: 1, unit: 'A' },
      rechargeDuration: { value: 24, unit: 'h' },
      rechargeFraction: 0.8,
    },
  },
  '/v1/parts/read': {
    text: 'Standby battery 12V 7Ah/20HR 151x65x94(100)mm F1',
    partClass: 'part-class/vrla-battery-12v',
    decimalMark: '.',
    columns: { capacityAh: 7.2, terminal: 'F1', supplyVoltageV: { min: 6, max: 14 } },
    gtin: '6291041500213',
  },
  '/v1/parts/match': {
    partClass: 'part-class/vrla-battery-12v',
    constraints: [
      { attribute: 'nominalVoltageV', op: 'eq', value: 12, kind: 'hard', isSafety: true, origin: 'label' },
      { attribute: 'capacityAh', op: 'range', value: 7, to: 9 },
      { attribute: 'terminal', op: 'in', value: ['F1', 'F2'], kind: 'soft' },
      { attribute: 'heightMm', op: 'ask', value: 'not stated yet', kind: 'confirm' },
    ],
    quantity: 3,
    adaptersAllowed: true,
    confirmed: ['cord-is-straight'],
    alongside: [
      {
        partClass: 'part-class/terminal-adapter',
        constraints: [{ attribute: 'batteryTab', op: 'eq', value: 'F2' }],
        quantity: 2,
        adaptersAllowed: false,
        confirmed: [],
      },
    ],
    diagnosis: {
      remedy: 'remedy/replace-storage-battery',
      causes: [{ cause: 'cause/supply-unplugged', device: 'hall', label: 'Out of its outlet', probability: 0.5 }],
    },
    at: '2026-01-02',
    region: 'EU',
    items: [
      {
        sku: 'B-7',
        partClass: 'part-class/vrla-battery-12v',
        title: 'Standby battery',
        attributes: { nominalVoltageV: 12, capacityAh: 7, terminal: 'F1', chargeVoltageV: { min: 13.5, max: 13.8 } },
        stock: 4,
        packQuantity: 2,
        priceMinor: 1890,
        currency: 'EUR',
        gtin14: '00000000000000',
        mpn: 'X-7',
        brand: 'Invented',
        madeOn: '2025-01-02',
        isDiscontinued: true,
        successorSku: 'B-8',
        needsInstaller: true,
        needsActivation: false,
      },
    ],
    limit: 10,
  },
  '/v1/parts/needs': {
    remedy: 'remedy/replace-storage-battery',
    system: {
      batteryVoltage: { value: 12, unit: 'V' },
      fittedCount: 1,
      supplyOutput: { value: 16.5, unit: 'V' },
      supplyKind: 'ac',
      supplyPower: { value: 40, unit: 'VA' },
      mainsVoltage: { value: 230, unit: 'V' },
      deviceSupply: { low: { value: 11, unit: 'V' }, high: { value: 14, unit: 'V' } },
      loadCurrent: { value: 300, unit: 'mA' },
      outputLimit: { value: 1, unit: 'A' },
      bay: {
        length: { value: 155, unit: 'mm' },
        width: { value: 70, unit: 'mm' },
        height: { value: 105, unit: 'mm' },
      },
      terminals: ['F1'],
      endOfLine: { resistance: { value: 4.7, unit: 'kOhm' }, toleranceFraction: 0.05 },
      familyKey: 'osier',
      band: { value: 868, unit: 'MHz' },
      slotCharges: false,
    },
    sizing: {
      requiredCapacity: { value: 6.4, unit: 'Ah' },
      chargerLimit: { value: 9, unit: 'Ah' },
      caseLimit: { value: 12, unit: 'Ah' },
      chargeCurrent: { value: 350, unit: 'mA' },
      rechargeDuration: { value: 24, unit: 'h' },
      rechargeFraction: 0.8,
      inParallel: 1,
    },
    oldPart: { attributes: { capacityAh: 7, chemistry: 'agm', lengthMm: { min: 150, max: 152 } } },
    demands: [{ attribute: 'flameRetardantCase', op: 'eq', value: true, origin: 'the listing' }],
    quantity: 1,
    adaptersAllowed: true,
    confirmed: ['device-lists-lithium-1v5'],
    diagnosis: { causes: [{ cause: 'cause/supply-unplugged', probability: 0.62 }] },
  },
}

/** The example that the OpenAPI document gives for the body of a path. */
function exampleOf(path: string): object {
  const document = app.getOpenAPI31Document({ openapi: '3.1.0', info: { title: '', version: '' } })
  const body = document.paths?.[path]?.post?.requestBody as { content: Record<string, { schema: { $ref: string } }> }
  const name = body.content['application/json']!.schema.$ref.split('/').at(-1)!
  return (document.components!.schemas![name] as { example: object }).example
}
const BATCH = '/batch'

/** One request of each operation with a body that is answered with 200. */
export const VALID: Record<string, object> = Object.fromEntries(
  ROUTES.filter(({ hasBody }) => hasBody).map(({ path }) => {
    const alone = path.endsWith(BATCH) ? path.slice(0, -BATCH.length) : path
    const body = FULL[alone] ?? exampleOf(alone)
    return [path, alone === path ? body : { items: [body] }]
  }),
)

/** Whether a pointer leads to a field of the body, or to one that its parent could have. */
function leadsIntoBody(pointer: string, body: unknown): boolean {
  const keys = pointer.split('/').slice(1)
  if (pointer !== '' && !pointer.startsWith('/')) return false
  let value = body
  for (const key of keys.slice(0, -1)) {
    if (typeof value !== 'object' || value === null) return false
    value = (value as Record<string, unknown>)[key.replaceAll('~1', '/').replaceAll('~0', '~')]
  }
  return true
}

/** The answer is a problem that tells where, in few words, and nothing of the inside. */
function expectProblem(status: number, body: any, sent: unknown): void {
  expect(body.status).toBe(status)
  expect(JSON.stringify(body)).not.toMatch(/\bat .*\.ts|node_modules|TypeError|RangeError|\/work\//)
  expect(JSON.stringify(body).length).toBeLessThan(40_000)
  if (status !== 422) return
  expect(body.errors.length, 'a 422 names a field').toBeGreaterThan(0)
  if (sent === undefined) return
  for (const { pointer } of body.errors) expect([pointer, leadsIntoBody(pointer, sent)]).toEqual([pointer, true])
}

/** Sends what may be anything and holds what every answer promises. */
export async function probe(
  method: string,
  path: string,
  { text, headers = {} }: { text?: string; headers?: Record<string, string> } = {},
) {
  const answer = await ask(send, method, path, text, headers)
  const title = `${method} ${path} ${text?.slice(0, 200) ?? ''} -> ${answer.status}`
  expect(answer.status, title).toBeLessThan(500)
  const route = [...ROUTES, ...QUERIES].find((one) => one.method === method && one.path === path)
  if (route) expect(route.statuses, title).toContain(String(answer.status))
  expect(answer.headers.get('Access-Control-Allow-Origin'), title).toBe('*')
  expect(answer.headers.get('X-Request-Id'), title).toBeTruthy()
  expect(answer.headers.get('Vary'), title).toContain('Accept')
  if (answer.status >= 400) {
    expect(answer.headers.get('Content-Type'), title).toBe('application/problem+json')
    if (method !== 'HEAD') expectProblem(answer.status, answer.body, parsed(text))
  }
  return answer
}

function parsed(text: string | undefined): unknown {
  try {
    return text === undefined ? undefined : JSON.parse(text)
  } catch {
    return undefined
  }
}
