import fc from 'fast-check'
import Papa from 'papaparse'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Item } from '../../../src/domain/parts/types.ts'
import { currentRelease } from '../../../src/ontology/release.ts'
import type { PartClass } from '../../../src/ontology/shape.ts'
import { type ExportFormat, exportCatalogue } from '../../../src/services/catalogue/export.ts'
import { toProduct } from '../../../src/services/catalogue/product-ld.ts'
import type { Format } from '../../../src/services/catalogue/records.ts'
import { createKey } from '../../../src/services/keys.ts'
import { putItems } from '../../../src/store/catalogue/items.ts'
import { type Database, openDatabase } from '../../../src/store/open.ts'
import { BATTERY, readFile, withHash } from '../../support/catalogue.ts'

let database: Database
let shops = 0
beforeAll(async () => {
  database = await openDatabase(':memory:')
})
afterAll(() => database.client.close())

async function exported(items: readonly Item[], format: ExportFormat): Promise<string> {
  const shop = `round-${shops++}`
  await createKey(database, shop, ['catalogue'], 0)
  await putItems(database, shop, withHash(items), 1)
  let text = ''
  for await (const piece of exportCatalogue(database, currentRelease(), shop, format, {})) text += piece
  return text
}

const word = fc.stringMatching(/^[-=+@'"a-zA-Z0-9;,é\u{1f6a8}][ -~éü]{0,12}[-=+@'"a-zA-Z0-9;,]$/u)
const number = fc.oneof(
  fc.integer({ min: 0, max: 5000 }),
  fc.double({ min: 0, max: 1e6, noNaN: true }).map((value) => Math.abs(value)),
  fc.integer({ min: 0, max: 99_999 }).map((value) => value / 1000),
)
const range = fc.tuple(number, number).map(([a, b]) => ({ min: Math.min(a, b), max: Math.max(a, b) }))
const money = fc.constantFrom('EUR', 'JPY', 'BHD', 'CLF')
const classes = [BATTERY, 'part-class/sounder', 'part-class/fuse-cartridge', 'part-class/motion-detector-wired']

function attributesOf(partClass: string) {
  const { attributes } = currentRelease().concepts.get(partClass)!.concept as PartClass
  const values = attributes.map(({ name, type, values: known }) => [
    name,
    type === 'number'
      ? fc.oneof(number, range, fc.constant('none'))
      : type === 'boolean'
        ? fc.boolean()
        : known
          ? fc.constantFrom(...known)
          : word,
  ])
  return fc.record(Object.fromEntries(values), { requiredKeys: [] })
}
const anyItem = fc.constantFrom(...classes).chain((partClass) =>
  fc.record(
    {
      sku: word,
      title: word,
      partClass: fc.constant(partClass),
      attributes: attributesOf(partClass),
      price: fc.record({ priceMinor: fc.nat(1e6), currency: money }),
      stock: fc.nat(99),
      packQuantity: fc.integer({ min: 1, max: 9 }),
      gtin14: fc.constantFrom('06291041500213', '00000096385074'),
      mpn: word,
      brand: word,
      madeOn: fc.constantFrom('2026-02-28', '2024-02-29'),
      isDiscontinued: fc.boolean(),
      successorSku: word,
      needsInstaller: fc.boolean(),
      needsActivation: fc.boolean(),
    },
    { requiredKeys: ['sku', 'title', 'partClass', 'attributes'] },
  ),
)
const anyItems = fc
  .uniqueArray(anyItem, { selector: ({ sku }) => sku, minLength: 1, maxLength: 6 })
  .map((items) => items.map(({ price, ...item }) => ({ ...item, ...price }) as Item))
const inOrder = (items: readonly Item[]) =>
  [...items].sort((a, b) => Buffer.compare(Buffer.from(a.sku), Buffer.from(b.sku)))

describe('what is exported goes back in unchanged', () => {
  test.each<[ExportFormat, Format]>([
    ['text/csv', 'csv'],
    ['application/x-ndjson', 'ndjson'],
    ['application/ld+json', 'products'],
  ])('as %s', async (type, format) => {
    await fc.assert(
      fc.asyncProperty(anyItems, async (items) => {
        const text = await exported(items, type)
        const { items: back, findings } = await readFile(text, { readTitles: false }, format)
        expect(findings.filter(({ severity }) => severity === 'error')).toEqual([])
        expect(back).toEqual(inOrder(items))
        // What was read out of titles is left out, and read again.
        const { items: withTitles } = await readFile(text, {}, format)
        expect((await readFile(await exported(withTitles, type), {}, format)).items).toEqual(withTitles)
      }),
      { numRuns: 120 },
    )
  })
})

test.each(['=1+1', '+cmd', '-2+3', '@sum', "'=1", "''", '\u{ff1d}1'])(
  'the title %j is exported as text and comes back',
  async (title) => {
    const item: Item = { sku: 'F', title, partClass: BATTERY, attributes: {} }
    const text = await exported([item], 'text/csv')
    const [row] = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data
    expect(row!.title).not.toMatch(/^[=+\-@\t\r]/)
    expect((await readFile(text)).items[0]!.title).toBe(title)
  },
)

test('a product names units by their codes: the decibel is 2N, never DB', () => {
  const attributes = { soundPressureDb: 110, currentA: 0.2, supplyVoltageV: { min: 10.5, max: 14 } }
  const product = toProduct(currentRelease(), {
    sku: 'S',
    title: 'Siren',
    partClass: 'part-class/sounder',
    attributes,
    stock: 0,
    priceMinor: 1250,
    currency: 'EUR',
  })
  expect(product).toMatchObject({
    '@type': 'Product',
    offers: { '@type': 'Offer', price: '12.50', priceCurrency: 'EUR', availability: 'https://schema.org/OutOfStock' },
  })
  const codes = (product.additionalProperty as { propertyID: string; unitCode: string }[]).map(
    ({ propertyID, unitCode }) => [propertyID, unitCode],
  )
  expect(codes).toEqual([
    ['soundPressureDb', '2N'],
    ['currentA', 'AMP'],
    ['supplyVoltageV', 'VLT'],
  ])
})

test('a product of another maker’s document is read by its codes, with the unit converted', async () => {
  const document = {
    '@context': 'https://schema.org',
    '@type': 'Product',
    '@graph': [
      {
        '@type': 'Product',
        sku: 'B',
        name: 'Battery, "sealed" [12 V]',
        category: BATTERY,
        gtin13: '6291041500213',
        offers: [{ '@type': 'Offer', price: 18.9, priceCurrency: 'EUR' }],
        additionalProperty: [
          { propertyID: 'capacityAh', value: 7200, unitCode: 'E09' },
          { propertyID: 'lengthMm', value: 15.1, unitCode: 'CMT' },
          { propertyID: 'heightMm', value: 100, unitCode: 'DB' },
        ],
      },
    ],
  }
  const { items, findings } = await readFile(JSON.stringify(document, null, 1), { readTitles: false }, 'products')
  expect(items).toEqual([
    {
      sku: 'B',
      title: 'Battery, "sealed" [12 V]',
      partClass: BATTERY,
      gtin14: '06291041500213',
      priceMinor: 1890,
      currency: 'EUR',
      attributes: { capacityAh: 7.2, lengthMm: 151 },
    },
  ])
  expect(findings.map(({ code }) => code)).toEqual(['UNIT_UNKNOWN'])
})
