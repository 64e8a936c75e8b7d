import { given } from '../../domain/given.ts'
import { minorDigits } from '../../domain/parts/currencies.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Release } from '../../ontology/release.ts'
import type { PartClass } from '../../ontology/shape.ts'

/**
 * Units of attributes as codes of UN/CEFACT Recommendation 20 (revision 17, 2021): 2N is the decibel, while DB is the dry
 * pound.
 */
const UNIT_CODES: Record<string, string> = {
  V: 'VLT',
  A: 'AMP',
  Ah: 'AMH',
  Ohm: 'OHM',
  W: 'WTT',
  VA: 'D46',
  mm: 'MMT',
  m: 'MTR',
  mm2: 'MMK',
  MHz: 'MHZ',
  dB: '2N',
  kg: 'KGM',
  years: 'ANN',
  months: 'MON',
}
/** Codes that come in, with how the unit is spelt here. */
const SPELLINGS: Record<string, string> = {
  ...Object.fromEntries(Object.entries(UNIT_CODES).map(([unit, code]) => [code, unit])),
  '2Z': 'mV',
  '4K': 'mA',
  B84: 'uA',
  E09: 'mAh',
  B49: 'kOhm',
  B75: 'MOhm',
  CMT: 'cm',
  INH: '[in_i]',
  FOT: '[ft_i]',
  HTZ: 'Hz',
  P1: '%',
}
const PIECE = 'H87'
const IN_STOCK = 'https://schema.org/InStock'
const OUT_OF_STOCK = 'https://schema.org/OutOfStock'

/** Facts of an item that schema.org has no property for, by the same means as attributes. */
const FLAGS = ['isDiscontinued', 'successorSku', 'needsInstaller', 'needsActivation'] as const

function propertyOf(name: string, value: Item['attributes'][string], unit: string | undefined) {
  const amount = typeof value === 'object' ? { minValue: value.min, maxValue: value.max } : { value }
  const code = unit === undefined || typeof value === 'string' ? undefined : UNIT_CODES[unit]
  return { '@type': 'PropertyValue', propertyID: name, ...amount, ...(code === undefined ? {} : { unitCode: code }) }
}

function offerOf({ priceMinor, currency, stock, packQuantity }: Item) {
  const price = (minor: number, code: string) =>
    (minor / 10 ** (minorDigits(code) ?? 2)).toFixed(minorDigits(code) ?? 2)
  const quantity = (value: number) => ({ '@type': 'QuantitativeValue', value, unitCode: PIECE })
  return {
    '@type': 'Offer',
    ...(priceMinor === undefined || currency === undefined
      ? {}
      : { price: price(priceMinor, currency), priceCurrency: currency }),
    ...(stock === undefined
      ? {}
      : {
          availability: stock > 0 ? IN_STOCK : OUT_OF_STOCK,
          inventoryLevel: { '@type': 'QuantitativeValue', value: stock },
        }),
    ...(packQuantity === undefined ? {} : { eligibleQuantity: quantity(packQuantity) }),
  }
}

/** An item as a schema.org Product; every attribute is a PropertyValue with its unit as a code. */
export function toProduct(release: Release, item: Item): Record<string, unknown> {
  const found = release.concepts.get(item.partClass)
  const specs = found?.kind === 'part-class' ? (found.concept as PartClass).attributes : []
  const unitOf = (name: string) => specs.find((spec) => spec.name === name)?.unit
  const flags = FLAGS.flatMap((name) => (item[name] === undefined ? [] : [propertyOf(name, item[name]!, undefined)]))
  const { gtin14, mpn, brand, madeOn } = item
  const offer = offerOf(item)
  return {
    '@type': 'Product',
    sku: item.sku,
    name: item.title,
    category: item.partClass,
    ...(gtin14 === undefined ? {} : { gtin14 }),
    ...(mpn === undefined ? {} : { mpn }),
    ...(brand === undefined ? {} : { brand: { '@type': 'Brand', name: brand } }),
    ...(madeOn === undefined ? {} : { productionDate: madeOn }),
    ...(Object.keys(offer).length > 1 ? { offers: offer } : {}),
    additionalProperty: [
      ...Object.entries(item.attributes).map(([name, value]) => propertyOf(name, value, unitOf(name))),
      ...flags,
    ],
  }
}

type Node = Record<string, unknown>
const nodeOf = (value: unknown): Node => (typeof value === 'object' && value !== null ? (value as Node) : {})
const first = (value: unknown): unknown => (Array.isArray(value) ? value[0] : value)
const textOf = (value: unknown) => (typeof value === 'string' ? value : undefined)

function amountIn({ value, minValue, maxValue, unitCode }: Node): unknown {
  const unit = typeof unitCode === 'string' ? { unit: SPELLINGS[unitCode] ?? unitCode } : {}
  if (minValue !== undefined && maxValue !== undefined) return { min: minValue, max: maxValue, ...unit }
  return typeof unitCode === 'string' && typeof value === 'number' ? { value, ...unit } : value
}

/** The fields of an item that a schema.org Product states, to be read as any other row is. */
export function fieldsOfProduct(product: unknown): Record<string, unknown> {
  const node = nodeOf(product)
  const offer = nodeOf(first(node.offers))
  const properties = [node.additionalProperty ?? []].flat().map(nodeOf)
  const named = Object.fromEntries(
    properties.map((property) => [String(property.propertyID ?? property.name), amountIn(property)]),
  )
  const flags = Object.fromEntries(FLAGS.flatMap((name) => (name in named ? [[name, named[name]]] : [])))
  for (const name of FLAGS) delete named[name]
  const stock = nodeOf(offer.inventoryLevel).value ?? (/OutOfStock$/.test(String(offer.availability)) ? 0 : undefined)
  const fields = {
    sku: node.sku,
    title: node.name,
    partClass: textOf(first(node.category)),
    price: offer.price,
    currency: offer.priceCurrency,
    stock,
    packQuantity: nodeOf(offer.eligibleQuantity).value,
    gtin: node.gtin14 ?? node.gtin13 ?? node.gtin12 ?? node.gtin8 ?? node.gtin,
    mpn: node.mpn,
    brand: textOf(node.brand) ?? nodeOf(node.brand).name,
    madeOn: node.productionDate,
    ...flags,
    attributes: named,
  }
  return given(fields)
}
