import { describe, expect, test } from 'vitest'
import { createApp } from '../../src/app.ts'
import type { Item } from '../../src/domain/parts/types.ts'
import type { ShopPort } from '../../src/http/env.ts'
import { currentRelease } from '../../src/ontology/release.ts'
import type { PartClass } from '../../src/ontology/shape.ts'
import { send } from '../support/hostile.ts'
import { ask, type Send } from '../support/service.ts'

const partClass = 'part-class/vrla-battery-12v'
const battery = (sku: string, attributes: object, more: object = {}) => ({
  sku,
  partClass,
  title: `Battery ${sku}`,
  attributes: { nominalVoltageV: 12, capacityAh: 7, heightMm: 100, terminal: 'F1', ...attributes },
  ...more,
})
const VOLTAGE = { attribute: 'nominalVoltageV', op: 'eq', value: 12 }
const CAPACITY = { attribute: 'capacityAh', op: 'range', value: 7, to: 9 }
const HEIGHT = { attribute: 'heightMm', op: 'max', value: 101 }
const post = (constraints: object[], items?: object[], more: object = {}, through: Send = send, headers = {}) =>
  ask(through, 'POST', '/v1/parts/match', { partClass, constraints, ...(items && { items }), ...more }, headers)
const skus = (list: { sku: string }[]) => list.map(({ sku }) => sku)

describe('POST /v1/parts/match answers', () => {
  test('what fits, what to confirm first and what nearly fits, each with the reason', async () => {
    const items = [battery('fits', {}), battery('near', { heightMm: 105 })]
    const { heightMm: _, ...unknown } = battery('ask', {}).attributes as Record<string, unknown>
    const { body } = await post([VOLTAGE, CAPACITY, HEIGHT], [...items, { ...battery('ask', {}), attributes: unknown }])
    expect([skus(body.fits), skus(body.confirmFirst), skus(body.nearMisses)]).toEqual([['fits'], ['ask'], ['near']])
    expect(body.confirmFirst[0].confirm).toHaveLength(1)
    expect(body.nearMisses[0].relaxation).toMatchObject({ attribute: 'heightMm', found: '105' })
    expect(body.counts).toEqual({ fits: 1, confirmFirst: 1, nearMisses: 1, rejected: 0 })
    expect(body.searched).toBe('items')
  })

  test('what nobody asked about yet, with how to find it', async () => {
    const { body } = await post([VOLTAGE], [])
    const asked = body.askFor.map(({ attribute }: { attribute: string }) => attribute)
    expect(asked).toContain('capacityAh')
    expect(asked).not.toContain('nominalVoltageV')
    for (const { find } of body.askFor) expect(find).toBeTruthy()
    expect(body.isNoMatch).toBe(true)
  })

  test('whole packs and their price in the currency of the item', async () => {
    const items = [battery('B', {}, { packQuantity: 2, priceMinor: 1890, currency: 'EUR', stock: 1 })]
    const [fit] = (await post([VOLTAGE], items, { quantity: 3 })).body.fits
    expect(fit).toMatchObject({ packsNeeded: 2, surplus: 1, price: { value: 3780, unit: 'EUR' }, isInStock: false })
  })

  test('no price where no currency is known', async () => {
    const [fit] = (await post([VOLTAGE], [battery('B', {}, { packQuantity: 1, priceMinor: 1890 })])).body.fits
    expect(fit.packsNeeded).toBe(1)
    expect(fit.price).toBeUndefined()
  })

  test('no more items than asked for, counting all', async () => {
    const items = Array.from({ length: 200 }, (_, index) => battery(`B-${index}`, {}))
    const { body } = await post([VOLTAGE], items, { limit: 3 })
    expect([body.fits.length, body.counts.fits]).toEqual([3, 200])
  })
})

describe('POST /v1/parts/match refuses', () => {
  test.each(['part-class/warp-core', 'cause/battery-worn-out', 'constructor', ''])(
    '%j, which is no part class of the release',
    async (id) => {
      const { status, body } = await post([VOLTAGE], [], { partClass: id })
      expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'UNKNOWN_ID', '/partClass'])
    },
  )

  test.each<[string, object, string]>([
    ['a least value in words', { attribute: 'capacityAh', op: 'min', value: 'seven' }, '/constraints/0/value'],
    ['a range between lists', { attribute: 'capacityAh', op: 'range', value: [7, 9] }, '/constraints/0/value'],
    ['a range that is upside down', { attribute: 'capacityAh', op: 'range', value: 9, to: 7 }, '/constraints/0/to'],
    ['an upper end of an equality', { attribute: 'capacityAh', op: 'eq', value: 7, to: 9 }, '/constraints/0/to'],
    ['an empty list', { attribute: 'terminal', op: 'in', value: [] }, '/constraints/0/value'],
    ['an operator nobody knows', { attribute: 'capacityAh', op: 'about', value: 7 }, '/constraints/0/op'],
    ['a name that every object has', { attribute: 'constructor', op: 'eq', value: 7 }, '/constraints/0/attribute'],
  ])('%s, pointing at it', async (_, constraint, pointer) => {
    const { status, body } = await post([constraint], [battery('B', {})])
    expect([status, body.code, body.errors[0].pointer]).toEqual([422, 'INPUT_INVALID', pointer])
  })

  test('201 items', async () => {
    const { status, body } = await post([VOLTAGE], Array(201).fill(battery('B', {})))
    expect([status, body.errors[0].pointer]).toEqual([422, '/items'])
  })
})

describe('POST /v1/parts/match guards', () => {
  const concept = currentRelease().concepts.get(partClass)!.concept as PartClass
  const safety = concept.attributes.filter(({ role }) => role === 'safety').map(({ name }) => name)

  test.each(safety)('the safety attribute %s cannot be turned off', async (attribute) => {
    const constraint = { attribute, op: 'eq', value: 'as needed', kind: 'soft', isSafety: false }
    const { body } = await post([constraint], [battery('B', { [attribute]: 'another' })])
    expect([body.fits, body.nearMisses]).toEqual([[], []])
    expect(body.rejectedForSafety[0].failed[0]).toMatchObject({ attribute, isSafety: true })
    expect(body.minimalRelaxations).toEqual([])
  })

  test('the part class has safety attributes to guard', () => expect(safety.length).toBeGreaterThan(0))

  test('a part of another class is never a near miss', async () => {
    const { body } = await post([VOLTAGE], [{ ...battery('X', {}), partClass: 'part-class/vrla-battery-6v' }])
    expect([skus(body.rejectedForSafety), body.nearMisses]).toEqual([['X'], []])
  })

  test('an unknown attribute is never a match', async () => {
    const { body } = await post([{ attribute: 'chemistry', op: 'eq', value: 'lead' }], [battery('B', {})])
    expect([body.fits, skus(body.confirmFirst)]).toEqual([[], ['B']])
  })

  test('the order of items does not change the answer', async () => {
    const items = [battery('a', {}), battery('b', { heightMm: 99 }), battery('c', { heightMm: 120 })]
    const forward = await post([VOLTAGE, HEIGHT], items)
    const backward = await post([VOLTAGE, HEIGHT], [...items].reverse())
    expect(backward.body).toEqual(forward.body)
  })

  const stocked: Item[] = [{ sku: 'S-1', partClass, title: 'Stocked', attributes: { nominalVoltageV: 12 } }]
  const refused = () => Promise.reject(new Error('matching parts asks for no document'))
  const noDocuments = { put: refused, read: refused, list: refused, remove: refused }
  const shops: ShopPort = {
    holderOf: async (key) => {
      if (key === 'good') return { shop: 'one', scopes: ['catalogue'] }
      return key === 'narrow' ? { shop: 'one', scopes: ['calls'] } : undefined
    },
    today: () => '2026-07-01',
    candidates: async (shop) => (shop === 'one' ? stocked : []),
    calls: {} as ShopPort['calls'],
    catalogue: undefined as never,
    keys: undefined as never,
    overlays: noDocuments,
    profiles: noDocuments,
    learning: {} as ShopPort['learning'],
    readiness: async () => '0000_first',
  }
  const shopApp = createApp({ openApiDocument: async () => '', releaseFile: async () => undefined, shops })
  const toShop: Send = async (path, init) => shopApp.request(path, init)

  test.each([
    ['no key', {}, 401, 'UNAUTHENTICATED'],
    ['a key nobody has', { Authorization: 'Bearer wrong' }, 401, 'UNAUTHENTICATED'],
    ['a key in another scheme', { Authorization: 'Basic good' }, 401, 'UNAUTHENTICATED'],
    ['a key with a space in it', { Authorization: 'Bearer good good' }, 401, 'UNAUTHENTICATED'],
    ['a key of another scope', { Authorization: 'Bearer narrow' }, 403, 'FORBIDDEN'],
  ])('a catalogue is not searched with %s', async (_, headers, status, code) => {
    const answer = await post([VOLTAGE], undefined, {}, toShop, headers)
    expect([answer.status, answer.body.code]).toEqual([status, code])
    if (status === 401) expect(answer.headers.get('WWW-Authenticate')).toBe('Bearer')
  })

  test("a key searches its own shop's catalogue", async () => {
    const { body } = await post([VOLTAGE], undefined, {}, toShop, { Authorization: 'Bearer good' })
    expect([body.searched, skus(body.fits)]).toEqual(['catalogue', ['S-1']])
  })

  test('a catalogue is judged as of today; a block known to be old ranks behind one of unknown age and is told', async () => {
    const aged = { ...stocked[0]!, sku: 'S-0', madeOn: '2023-07-01', priceMinor: 100, packQuantity: 1 }
    stocked.push(aged)
    const preference = { attribute: 'shelfMonths', op: 'max', value: 6, kind: 'soft' }
    const ask = (more: object) => post([VOLTAGE, preference], undefined, more, toShop, { Authorization: 'Bearer good' })
    const { body } = await ask({})
    expect(skus(body.fits)).toEqual(['S-1', 'S-0'])
    expect(body.fits[1].warnings.map(({ code }: { code: string }) => code)).toEqual(['AGED_STOCK'])
    expect((await ask({ at: '2023-08-01' })).body.fits[0].sku).toBe('S-0')
    stocked.pop()
  })

  test('near misses that an adapter mends come first, then the nearest; each way out is one for its terminals', async () => {
    const block = (sku: string, capacityAh: number, terminal: string) =>
      ({ sku, partClass, title: sku, attributes: { nominalVoltageV: 12, capacityAh, terminal } }) as Item
    const items = [
      block('A-1', 1.2, 'F1'),
      block('B-4', 6, 'F1'),
      block('C-F2', 7, 'F2'),
      block('D-M5', 7, 'M5'),
      block('E-W', 7, 'wire-lead'),
    ]
    const demands = [
      { attribute: 'capacityAh', op: 'range', value: 6.4, to: 9 },
      { attribute: 'terminal', op: 'in', value: ['F1'] },
    ]
    const { body } = await post(demands, items, { adaptersAllowed: true })
    expect(skus(body.nearMisses)).toEqual(['C-F2', 'D-M5', 'B-4', 'A-1', 'E-W'])
    expect(body.nearMisses.map(({ fix }: { fix?: string }) => fix?.split(' ')[2])).toEqual([
      'tab',
      'lead',
      undefined,
      undefined,
      undefined,
    ])
  })

  test('items that are sent need no key, and an empty list is not the catalogue', async () => {
    const { status, body } = await post([VOLTAGE], [], {}, toShop)
    expect([status, body.searched, body.fits]).toEqual([200, 'items', []])
  })

  test('without a database the catalogue is unavailable', async () => {
    const { status, body } = await post([VOLTAGE], undefined, {}, send, { Authorization: 'Bearer good' })
    expect([status, body.code]).toEqual([503, 'UNAVAILABLE'])
  })
})
