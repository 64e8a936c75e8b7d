import { and, asc, eq, gt, isNotNull, isNull, type SQL, sql } from 'drizzle-orm'
import { itemWords, WORDS_VERSION } from '../../domain/parts/search-words.ts'
import { type Database, write, writeEach } from '../database.ts'
import { catalogueItems } from '../schema/catalogue.ts'
import {
  asJson,
  type CatalogueItem,
  fromJson,
  type HashedItem,
  ITEM_COLUMNS,
  type ItemRow,
  SHARED_COLUMNS,
  toItem,
  toRow,
  toWords,
  vocabularyOf,
} from './rows.ts'

export interface StoredItem {
  item: CatalogueItem
  contentHash: string
  /** Milliseconds since 1970-01-01T00:00Z. */
  updatedAt: number
  isRetired: boolean
}
export interface ItemFilter {
  partClass?: string | undefined
  brand?: string | undefined
  gtin14?: string | undefined
  isInStock?: boolean | undefined
  /** Retired items instead of those in force. */
  isRetired?: boolean | undefined
  importId?: string | undefined
}

const STORED = {
  ...ITEM_COLUMNS,
  contentHash: catalogueItems.contentHash,
  updatedAt: catalogueItems.updatedAt,
  retiredAt: catalogueItems.retiredAt,
}
type StoredRow = ItemRow & { contentHash: string; updatedAt: number; retiredAt: number | null }
const stored = ({ contentHash, updatedAt, retiredAt, ...row }: StoredRow): StoredItem => ({
  item: toItem(row),
  contentHash,
  updatedAt,
  isRetired: retiredAt !== null,
})

/** The shop's item of a SKU, retired or not; undefined when there is none. */
export async function findItem({ orm }: Database, shopId: string, sku: string): Promise<StoredItem | undefined> {
  const mine = and(eq(catalogueItems.shopId, shopId), eq(catalogueItems.sku, sku))
  const [row] = await orm.select(STORED).from(catalogueItems).where(mine).limit(1)
  return row && stored(row)
}

function matching(shopId: string, filter: ItemFilter): SQL | undefined {
  const { partClass, brand, gtin14, isInStock, isRetired, importId } = filter
  return and(
    eq(catalogueItems.shopId, shopId),
    isRetired ? isNotNull(catalogueItems.retiredAt) : isNull(catalogueItems.retiredAt),
    partClass === undefined ? undefined : eq(catalogueItems.partClass, partClass),
    brand === undefined ? undefined : eq(catalogueItems.brand, brand),
    gtin14 === undefined ? undefined : eq(catalogueItems.gtin14, gtin14),
    importId === undefined ? undefined : eq(catalogueItems.importId, importId),
    isInStock === undefined ? undefined : isInStock ? sql`stock > 0` : sql`coalesce(stock, 0) = 0`,
  )
}

/** Items of a shop in the order of their SKUs, from behind `after`. */
export async function listItems(
  { orm }: Database,
  shopId: string,
  filter: ItemFilter,
  after: string,
  limit: number,
): Promise<StoredItem[]> {
  const rows = await orm
    .select(STORED)
    .from(catalogueItems)
    .where(and(matching(shopId, filter), gt(catalogueItems.sku, after)))
    .orderBy(asc(catalogueItems.sku))
    .limit(limit)
  return rows.map(stored)
}

/** How many items of a shop are in force. */
export async function countItems({ orm }: Database, shopId: string): Promise<number> {
  return orm.$count(catalogueItems, and(eq(catalogueItems.shopId, shopId), isNull(catalogueItems.retiredAt)))
}

export const ADD_WORDS =
  'insert into catalogue_vocabulary (shop_id, word) select ?1, value from json_each(?2) where true on conflict do nothing'
const ITEM_ID = 'select id from catalogue_items where shop_id = ?1 and sku = ?2'
const REMOVE_WORDS = `delete from catalogue_words where rowid in (${ITEM_ID})`
const PUT = `insert into catalogue_items (shop_id, ${SHARED_COLUMNS.join(', ')}, import_id, updated_at, retired_at, indexed_as)
select ?1, ${fromJson(SHARED_COLUMNS)}, null, ?3, null, ?4 from json_each(?2) where true
on conflict (shop_id, sku) do update set ${[...SHARED_COLUMNS, 'import_id', 'updated_at', 'retired_at', 'indexed_as']
  .filter((column) => column !== 'sku')
  .map((column) => `${column} = excluded.${column}`)
  .join(', ')}`
const INDEX = `insert into catalogue_words (rowid, title, numbers, others) select id, ?3, ?4, ?5 from catalogue_items where shop_id = ?1 and sku = ?2`

/** Statements that put one item in place of the shop's one of the same SKU, or add it. */
function putOne(shopId: string, item: HashedItem, now: number) {
  const { title_words, number_words, other_words } = toWords(shopId, itemWords(item))
  return [
    { sql: REMOVE_WORDS, args: [shopId, item.sku] },
    { sql: PUT, args: [shopId, asJson([toRow(item)]), now, WORDS_VERSION] },
    { sql: INDEX, args: [shopId, item.sku, title_words, number_words, other_words] },
  ]
}

/** Puts items, few enough for one write: all of them or none. */
export async function putItems(
  database: Database,
  shopId: string,
  items: readonly HashedItem[],
  now: number,
): Promise<void> {
  const vocabulary = JSON.stringify(vocabularyOf(items.map(itemWords)))
  await write(database, [
    { sql: ADD_WORDS, args: [shopId, vocabulary] },
    ...items.flatMap((item) => putOne(shopId, item, now)),
  ])
}

/** Removes an item for good; says whether there was one. */
export async function deleteItem(database: Database, shopId: string, sku: string): Promise<boolean> {
  const [, removed] = await writeEach(database, [
    { sql: REMOVE_WORDS, args: [shopId, sku] },
    { sql: 'delete from catalogue_items where shop_id = ?1 and sku = ?2', args: [shopId, sku] },
  ])
  return removed! > 0
}

/** Names of all attributes that any item of a shop has. */
export async function attributeNames({ orm }: Database, shopId: string): Promise<string[]> {
  const rows = await orm.all<{ name: string }>(
    sql`select distinct key as name from catalogue_items, json_each(attributes) where shop_id = ${shopId} and retired_at is null order by key`,
  )
  return rows.map(({ name }) => name)
}
