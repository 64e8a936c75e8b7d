import { minorDigits } from '../../domain/parts/currencies.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Release } from '../../ontology/release.ts'
import { attributeNames, type ItemFilter, listItems } from '../../store/catalogue/items.ts'
import type { CatalogueItem } from '../../store/catalogue/rows.ts'
import type { Database } from '../../store/database.ts'
import { toProduct } from './product-ld.ts'

export type ExportFormat = 'text/csv' | 'application/x-ndjson' | 'application/ld+json'
const PAGE = 500

/** A shop's items in the order of their SKUs, a page in memory at a time. */
async function* pagesOf(database: Database, shop: string, filter: ItemFilter): AsyncGenerator<CatalogueItem[]> {
  for (let after = ''; ; ) {
    const page = await listItems(database, shop, filter, after, PAGE)
    if (page.length > 0) yield page.map(({ item }) => stated(item))
    if (page.length < PAGE) return
    after = page.at(-1)!.item.sku
  }
}

/** What the shop itself stated: what was read out of a title would be read again. */
function stated({ readFromTitle = [], ...item }: CatalogueItem): CatalogueItem {
  const attributes = Object.entries(item.attributes).filter(([name]) => !readFromTitle.includes(name))
  return { ...item, attributes: Object.fromEntries(attributes) }
}

/** A spreadsheet runs what begins so as a formula; a mark before it, which the import takes away, keeps it a text. */
const IS_FORMULA = /^'?[=+\-@\t\r\n＝＋－＠]|^''/
const quoted = (text: string) => (/[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)
const textCell = (text: string) => quoted(IS_FORMULA.test(text) ? `'${text}` : text)

/** A number that cannot be taken for one with thousands: three decimals get a fourth. */
const numberCell = (value: number) => (/^-?[1-9]\d{0,2}\.\d{3}$/.test(String(value)) ? `${value}0` : String(value))

function attributeCell(value: Item['attributes'][string] | undefined): string {
  if (value === undefined) return ''
  if (typeof value === 'object') return `${numberCell(value.min)}..${numberCell(value.max)}`
  return typeof value === 'number' ? numberCell(value) : textCell(String(value))
}

function priceCell({ priceMinor, currency }: Item): string {
  if (priceMinor === undefined || currency === undefined) return ''
  const digits = minorDigits(currency) ?? 2
  const text = String(priceMinor).padStart(digits + 1, '0')
  return digits === 0 ? text : `${text.slice(0, -digits)}.${text.slice(-digits)}`
}

const FIELDS: Record<string, (item: Item) => string> = {
  sku: ({ sku }) => textCell(sku),
  title: ({ title }) => textCell(title),
  part_class: ({ partClass }) => textCell(partClass),
  price: priceCell,
  currency: ({ currency, priceMinor }) => (priceMinor === undefined ? '' : (currency ?? '')),
  stock: ({ stock }) => String(stock ?? ''),
  pack_quantity: ({ packQuantity }) => String(packQuantity ?? ''),
  gtin: ({ gtin14 }) => gtin14 ?? '',
  mpn: ({ mpn }) => textCell(mpn ?? ''),
  brand: ({ brand }) => textCell(brand ?? ''),
  made_on: ({ madeOn }) => madeOn ?? '',
  is_discontinued: ({ isDiscontinued }) => String(isDiscontinued ?? ''),
  successor_sku: ({ successorSku }) => textCell(successorSku ?? ''),
  needs_installer: ({ needsInstaller }) => String(needsInstaller ?? ''),
  needs_activation: ({ needsActivation }) => String(needsActivation ?? ''),
}

async function* csvOf(database: Database, shop: string, filter: ItemFilter): AsyncGenerator<string> {
  const attributes = await attributeNames(database, shop)
  yield `${[...Object.keys(FIELDS), ...attributes].join(',')}\r\n`
  for await (const page of pagesOf(database, shop, filter))
    yield page
      .map((item) => {
        const cells = Object.values(FIELDS).map((field) => field(item))
        return `${[...cells, ...attributes.map((name) => attributeCell(item.attributes[name]))].join(',')}\r\n`
      })
      .join('')
}

async function* ndjsonOf(database: Database, shop: string, filter: ItemFilter): AsyncGenerator<string> {
  for await (const page of pagesOf(database, shop, filter))
    yield page.map((item) => `${JSON.stringify(item)}\n`).join('')
}

async function* productsOf(
  database: Database,
  release: Release,
  shop: string,
  filter: ItemFilter,
): AsyncGenerator<string> {
  yield '{"@context":"https://schema.org","@graph":[\n'
  let isFirst = true
  for await (const page of pagesOf(database, shop, filter)) {
    yield `${isFirst ? '' : ',\n'}${page.map((item) => JSON.stringify(toProduct(release, item))).join(',\n')}`
    isFirst = false
  }
  yield '\n]}\n'
}

/** A shop's catalogue as text in pieces; what comes out goes back in unchanged. */
export function exportCatalogue(
  database: Database,
  release: Release,
  shop: string,
  format: ExportFormat,
  filter: ItemFilter,
): AsyncGenerator<string> {
  if (format === 'text/csv') return csvOf(database, shop, filter)
  return format === 'application/ld+json'
    ? productsOf(database, release, shop, filter)
    : ndjsonOf(database, shop, filter)
}
