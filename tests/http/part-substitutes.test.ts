import { describe, expect, test } from 'vitest'
import { createApp } from '../../src/app.ts'
import type { Item, Requirement } from '../../src/domain/parts/types.ts'
import type { ShopPort } from '../../src/http/env.ts'
import { send } from '../support/hostile.ts'
import { ask, type Send } from '../support/service.ts'

const BATTERY = 'part-class/vrla-battery-12v'
const CELL = 'part-class/alkaline-cell'
const post = (body: object, through: Send = send, headers = {}) =>
  ask(through, 'POST', '/v1/parts/match', body, headers)
const skus = (list: { sku: string }[]) => list.map(({ sku }) => sku)
const money = (priceMinor: number) => ({ priceMinor, currency: 'EUR', packQuantity: 1, stock: 9 })
const item = (sku: string, partClass: string, attributes: Item['attributes'], more: object = {}) => ({
  sku,
  partClass,
  title: sku,
  attributes,
  ...more,
})
const F1 = { attribute: 'terminal', op: 'in', value: ['F1'] }
const wide = item('F2', BATTERY, { terminal: 'F2' }, money(2000))
const adapter = item(
  'AD',
  'part-class/terminal-adapter',
  { batteryTab: 'F2', leadSocket: 'F1', insulated: true },
  money(90),
)

describe('POST /v1/parts/match with substitutes', () => {
  const aa = [
    { attribute: 'sizeName', op: 'eq', value: 'LR6' },
    { attribute: 'chemistry', op: 'eq', value: 'alkaline-manganese' },
    { attribute: 'nominalVoltageV', op: 'eq', value: 1.5 },
  ]
  const lithium = item('FR6', 'part-class/lithium-1v5-cell', {
    sizeName: 'FR6',
    chemistry: 'lithium-iron-disulfide',
    nominalVoltageV: 1.5,
  })
  const thionyl = item('ER', 'part-class/lithium-thionyl-cell', { sizeName: 'ER14505', nominalVoltageV: 3.6 })

  test('lithium takes the place of alkaline where the device lists it, and a 3.6 V cell of the size never does', async () => {
    const items = [lithium, thionyl]
    const open = (await post({ partClass: CELL, constraints: aa, items })).body
    expect([skus(open.fits), skus(open.confirmFirst), skus(open.rejectedForSafety)]).toEqual([[], ['FR6'], ['ER']])
    expect(open.confirmFirst[0].confirm.join()).toMatch(/list lithium/)
    const confirmed = ['device-lists-lithium-1v5']
    const sure = (await post({ partClass: CELL, constraints: aa, items, confirmed })).body
    expect(sure.fits[0]).toMatchObject({ sku: 'FR6', substitution: { substitute: 'fr6-for-lr6', rank: 2 } })
  })

  test('alkaline does not take the place of lithium', async () => {
    const constraints = [{ attribute: 'sizeName', op: 'eq', value: 'FR6' }]
    const items = [item('LR6', CELL, { sizeName: 'LR6' })]
    const { body } = await post({ partClass: 'part-class/lithium-1v5-cell', constraints, items })
    expect([body.isNoMatch, skus(body.rejectedForSafety)]).toEqual([true, ['LR6']])
  })

  test('7.2 Ah stands for a presumed 7 Ah; 9 Ah is a question', async () => {
    const constraints = [
      { attribute: 'capacityAh', op: 'min', value: 7 },
      { attribute: 'capacityAh', op: 'max', value: 7, kind: 'confirm' },
    ]
    const items = [item('A', BATTERY, { capacityAh: 7.2 }), item('B', BATTERY, { capacityAh: 9 })]
    const { body } = await post({ partClass: BATTERY, constraints, items })
    expect([skus(body.fits), skus(body.confirmFirst)]).toEqual([['A'], ['B']])
  })
})

describe('POST /v1/parts/match with kits', () => {
  const wanted = { partClass: BATTERY, constraints: [F1], adaptersAllowed: true }

  test('a battery with wide tabs becomes a kit with two adapters, and stays a near miss', async () => {
    const { body } = await post({ ...wanted, items: [wide, adapter] })
    expect([skus(body.fits), skus(body.nearMisses)]).toEqual([[], ['F2']])
    expect(skus(body.kits[0].lines)).toEqual(['F2', 'AD'])
    expect(body.kits[0]).toMatchObject({ price: { value: 2180, unit: 'EUR' }, isInStock: true })
    expect(body.kits[0].completes).toMatchObject({ attribute: 'terminal', required: 'F1', found: 'F2' })
    expect(body.rejectedForSafety).toEqual([])
  })

  test('what is asked for alongside makes one kit with the part, or is named as lacking', async () => {
    const resistor = { partClass: 'part-class/end-of-line-resistor', constraints: [], quantity: 2 }
    const items = [
      item('B', BATTERY, { terminal: 'F1' }, money(1900)),
      item('R', 'part-class/end-of-line-resistor', { resistanceOhm: 4700 }, money(20)),
    ]
    const { body } = await post({ ...wanted, alongside: [resistor], items })
    expect([skus(body.kits[0].lines), body.kits[0].price.value, body.lacking]).toEqual([['B', 'R'], 1940, []])
    const without = (await post({ ...wanted, alongside: [resistor], items: items.slice(0, 1) })).body
    expect([without.kits, without.lacking]).toEqual([[], ['part-class/end-of-line-resistor']])
  })

  test('a shop’s catalogue is searched for the substitutes and the adapters too, in that shop alone', async () => {
    const searched: [string, Requirement][] = []
    const stock = [wide, adapter] as Item[]
    const refused = () => Promise.reject(new Error('matching parts asks for no document'))
    const noDocuments = { put: refused, read: refused, list: refused, remove: refused }
    const shops: ShopPort = {
      holderOf: async () => ({ shop: 'one', scopes: ['catalogue'] }),
      today: () => '2026-07-01',
      candidates: async (shop, requirement) => {
        searched.push([shop, requirement])
        return stock.filter(({ partClass }) => partClass === requirement.partClass)
      },
      keys: undefined as never,
      calls: undefined as never,
      catalogue: undefined as never,
      overlays: noDocuments,
      profiles: noDocuments,
      learning: undefined as never,
      readiness: async () => '0000_first',
    }
    const app = createApp({ openApiDocument: async () => '', releaseFile: async () => undefined, shops })
    const through: Send = async (path, init) => app.request(path, init)
    const { body } = await post(wanted, through, { Authorization: 'Bearer good' })
    expect([body.searched, skus(body.kits[0].lines)]).toEqual(['catalogue', ['F2', 'AD']])
    expect(new Set(searched.map(([shop]) => shop))).toEqual(new Set(['one']))
  })
})

describe('POST /v1/parts/match says what to know at the sale', () => {
  const sell = (more: object = {}) => post({ partClass: BATTERY, constraints: [], items: [], ...more })

  test('shipping class, taking back and age, each with its basis', async () => {
    const { sale } = (await sell()).body
    const kinds = sale.map(({ kind }: any) => kind)
    expect(kinds).toEqual(expect.arrayContaining(['transport', 'take-back', 'shelf-age']))
    expect(sale.find(({ kind }: any) => kind === 'transport').unNumbers).toEqual(['UN 2800'])
    for (const { basis } of sale) expect(basis).toBeTruthy()
  })

  test('of one region only, where one is named', async () => {
    const regions = (await sell({ region: 'US' })).body.sale.map(({ region }: any) => region)
    expect(regions).not.toContain('EU')
    expect((await sell({ region: 'EU' })).body.sale.map(({ region }: any) => region)).toContain('EU')
  })

  test('stock that has stood too long, a discontinued part and its successor by its own verdict', async () => {
    const items = [
      item('OLD', BATTERY, { terminal: 'F1' }, { madeOn: '2025-01-01', isDiscontinued: true, successorSku: 'NEW' }),
      item('NEW', BATTERY, { terminal: 'F2' }),
      item('AIR', BATTERY, { terminal: 'F1' }, { needsInstaller: true, needsActivation: true, madeOn: '2026-01-01' }),
    ]
    const { body } = await post({ partClass: BATTERY, constraints: [F1], items, at: '2026-02-01' })
    const of = (sku: string) => body.fits.find((one: any) => one.sku === sku)
    const codes = (sku: string) => (of(sku).warnings ?? []).map(({ code }: any) => code)
    expect(codes('OLD')).toEqual(['AGED_STOCK', 'DISCONTINUED'])
    expect(of('OLD').successor).toEqual({ sku: 'NEW', verdict: 'near-miss' })
    expect(codes('AIR')).toEqual(['NEEDS_INSTALLER', 'NEEDS_ACTIVATION'])
  })

  test('fresh stock ranks before aged stock where the requirement prefers it', async () => {
    const preference = { attribute: 'shelfMonths', op: 'max', value: 6, kind: 'soft' }
    const items = [item('A', BATTERY, {}, { madeOn: '2025-01-01' }), item('B', BATTERY, {}, { madeOn: '2026-01-01' })]
    const { body } = await post({ partClass: BATTERY, constraints: [preference], items, at: '2026-02-01' })
    expect(skus(body.fits)).toEqual(['B', 'A'])
  })
})

describe('POST /v1/parts/match when nothing fits', () => {
  test('says what to order, and names a relaxation only where it is no matter of safety', async () => {
    const constraints = [
      { attribute: 'nominalVoltageV', op: 'eq', value: 12 },
      { attribute: 'heightMm', op: 'max', value: 101 },
    ]
    const items = [
      item('six', BATTERY, { nominalVoltageV: 6, heightMm: 100 }),
      item('tall', BATTERY, { nominalVoltageV: 12, heightMm: 105 }),
    ]
    const { body } = await post({ partClass: BATTERY, constraints, items })
    expect([body.isNoMatch, body.minimalRelaxations]).toEqual([true, [['heightMm']]])
    expect(body.nearMisses[0].relaxation).toMatchObject({
      beyondBy: 4,
      danger: expect.stringContaining('short circuit'),
    })
    expect(body.toOrder).toMatchObject([
      { attribute: 'nominalVoltageV', required: '12', unit: 'V', isSafety: true },
      { attribute: 'heightMm', required: 'at most 101', unit: 'mm', isSafety: false },
    ])
  })

  test('a root that is still open is said with the parts', async () => {
    const diagnosis = { causes: [{ cause: 'cause/charger-voltage-high', probability: 0.5 }] }
    const { body } = await post({ partClass: BATTERY, constraints: [], items: [], diagnosis })
    expect(body.outlook.roots[0].say).toMatch(/overcharged too/)
  })
})
