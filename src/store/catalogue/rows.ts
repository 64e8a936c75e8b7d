import { type SQL, sql } from 'drizzle-orm'
import type { ItemWords } from '../../domain/parts/search-words.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Database } from '../database.ts'
import { catalogueItems, TYPED_COLUMNS } from '../schema/catalogue.ts'

/** An item as a shop keeps it. */
export interface CatalogueItem extends Item {
  /** Attributes that nobody stated but the title says. */
  readFromTitle?: readonly string[]
}
export interface HashedItem extends CatalogueItem {
  contentHash: string
}

type TypedName = keyof typeof TYPED_COLUMNS
const TYPED = Object.entries(TYPED_COLUMNS) as [TypedName, (typeof TYPED_COLUMNS)[TypedName]][]

/** What an item is made of; the typed columns only repeat its attributes. */
const { sku, partClass, title, attributes, priceMinor, currency, stock, packQuantity } = catalogueItems
const { gtin14, mpn, brand, madeOn, isDiscontinued, successorSku, needsInstaller, needsActivation } = catalogueItems
const SALE_COLUMNS = { priceMinor, currency, stock, packQuantity }
const MORE_COLUMNS = { gtin14, mpn, brand, madeOn, isDiscontinued, successorSku, needsInstaller, needsActivation }
export const ITEM_COLUMNS = {
  sku,
  partClass,
  title,
  attributes,
  ...SALE_COLUMNS,
  ...MORE_COLUMNS,
  readFromTitle: catalogueItems.readFromTitle,
}
export type ItemRow = Pick<typeof catalogueItems.$inferSelect, keyof typeof ITEM_COLUMNS>
const OPTIONAL = Object.keys({ ...SALE_COLUMNS, ...MORE_COLUMNS }) as (
  | keyof typeof SALE_COLUMNS
  | keyof typeof MORE_COLUMNS
)[]

/** Names of the columns that an item and a staged item share. */
export const SHARED_COLUMNS: string[] = [
  ...Object.values(ITEM_COLUMNS).map(({ name }) => name),
  catalogueItems.contentHash.name,
  ...TYPED.map(([, column]) => column.name),
]

/** A typed column holds a number or a word of its own type; anything else stays in the JSON alone and counts as unknown to SQL. */
function typedValue(item: Item, name: TypedName): number | string | null {
  const value = item.attributes[name]
  const isNumeric = TYPED_COLUMNS[name].dataType === 'number'
  if (value === 'none' || (typeof value !== 'number' && typeof value !== 'string')) return null
  return isNumeric === (typeof value === 'number') ? value : null
}

/** An item as a row, by the names of the columns. */
export function toRow(item: HashedItem): Record<string, unknown> {
  return {
    sku: item.sku,
    part_class: item.partClass,
    title: item.title,
    attributes: JSON.stringify(item.attributes),
    content_hash: item.contentHash,
    read_from_title: item.readFromTitle === undefined ? null : JSON.stringify(item.readFromTitle),
    ...Object.fromEntries(OPTIONAL.map((name) => [catalogueItems[name].name, item[name] ?? null])),
    ...Object.fromEntries(TYPED.map(([name, column]) => [column.name, typedValue(item, name)])),
  }
}

/** A row as the item that it was. */
export function toItem(row: ItemRow): CatalogueItem {
  return {
    sku: row.sku,
    partClass: row.partClass,
    title: row.title,
    attributes: JSON.parse(row.attributes),
    ...Object.fromEntries(OPTIONAL.flatMap((name) => (row[name] === null ? [] : [[name, row[name]]]))),
    ...(row.readFromTitle === null ? {} : { readFromTitle: JSON.parse(row.readFromTitle) }),
  }
}

/** A word as it stands in the index: behind the id of its shop, so that no search walks through the words of another. */
export const shopWord = (shopId: string, word: string) => `${shopId}.${word}`

/** The words of an item, ready for the index, by the names of the staged columns. */
export function toWords(shopId: string, { title, numbers, others }: ItemWords) {
  const joined = (words: readonly string[]) => words.map((word) => shopWord(shopId, word)).join(' ')
  return { title_words: joined(title), number_words: joined(numbers), other_words: joined(others) }
}

const LETTERS = /^\p{L}{4,24}$/u

/** Words that a misspelt one may have meant. */
export function vocabularyOf(items: readonly ItemWords[]): string[] {
  const words = new Set(items.flatMap(({ title, others }) => [...title, ...others]))
  return [...words].filter((word) => LETTERS.test(word))
}

/** Columns of a statement over a JSON array of rows, with their values; a name that a row has not is null. */
export const fromJson = (columns: readonly string[]) =>
  columns.map((column) => `json_extract(value, '$.${column}')`).join(', ')

/** Rows for such a statement. Nulls are left out: most of the typed columns of most items are null. */
export const asJson = (rows: readonly Record<string, unknown>[]) =>
  JSON.stringify(rows, (_, value) => (value === null ? undefined : value))

const NAMES = Object.keys(ITEM_COLUMNS)
const AS_ARRAY = sql`json_array(${sql.join(Object.values(ITEM_COLUMNS), sql`, `)})`
const FLAGS = new Set(['isDiscontinued', 'needsInstaller', 'needsActivation'])
const flagged = (name: string, value: unknown) => (FLAGS.has(name) && value !== null ? value === 1 : value)

/** The shop's items of these ids, in no order. They come as one text: moving rows one by one costs more than finding them. */
export async function itemsByIds({ orm }: Database, shopId: string, ids: SQL): Promise<CatalogueItem[]> {
  const [found] = await orm
    .select({ rows: sql<string>`json_group_array(${AS_ARRAY})` })
    .from(catalogueItems)
    // The plus keeps the planner from walking through the whole shop to check the ids.
    .where(sql`+${catalogueItems.shopId} = ${shopId} and ${catalogueItems.id} in (${ids})`)
  const rows = JSON.parse(found?.rows ?? '[]') as unknown[][]
  return rows.map((row) =>
    toItem(Object.fromEntries(NAMES.map((name, at) => [name, flagged(name, row[at])])) as unknown as ItemRow),
  )
}
