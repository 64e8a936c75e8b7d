import { and, eq, type SQL, sql } from 'drizzle-orm'
import { DomainError } from '../domain/errors.ts'
import type { Constraint, Item, Requirement } from '../domain/parts/types.ts'
import { type Database, write } from './database.ts'
import { BATTERY_CLASS, catalogueItems, TYPED_COLUMNS } from './schema/catalogue.ts'

export interface HashedItem extends Item {
  contentHash: string
}

type TypedName = keyof typeof TYPED_COLUMNS
const TYPED = Object.entries(TYPED_COLUMNS) as [TypedName, (typeof TYPED_COLUMNS)[TypedName]][]

const BASE_COLUMNS = [
  'sku',
  'part_class',
  'title',
  'price_minor',
  'currency',
  'stock',
  'pack_quantity',
  'attributes',
  'content_hash',
]
const COLUMNS = [...BASE_COLUMNS, ...TYPED.map(([, column]) => column.name)]

/** One statement that inserts or updates every row of a JSON array; rows whose content is the same stay untouched. */
const UPSERT = `insert into catalogue_items (shop_id, ${COLUMNS.join(', ')})
select ?1, ${COLUMNS.map((column) => `json_extract(value, '$.${column}')`).join(', ')} from json_each(?2) where true
on conflict (shop_id, sku) do update set ${COLUMNS.filter((column) => column !== 'sku')
  .map((column) => `${column} = excluded.${column}`)
  .join(', ')}
where catalogue_items.content_hash <> excluded.content_hash`

const ROWS_A_STATEMENT = 500

/** A typed column holds a number or a word of its own type; anything else stays in the JSON alone and counts as unknown to SQL. */
function typedValue(item: Item, name: TypedName): number | string | null {
  const value = item.attributes[name]
  const isNumeric = TYPED_COLUMNS[name].dataType === 'number'
  if (value === 'none' || (typeof value !== 'number' && typeof value !== 'string')) return null
  return isNumeric === (typeof value === 'number') ? value : null
}

function toRow(item: HashedItem): Record<string, unknown> {
  return {
    sku: item.sku,
    part_class: item.partClass,
    title: item.title,
    price_minor: item.priceMinor ?? null,
    currency: item.currency ?? null,
    stock: item.stock ?? null,
    pack_quantity: item.packQuantity ?? null,
    attributes: JSON.stringify(item.attributes),
    content_hash: item.contentHash,
    ...Object.fromEntries(TYPED.map(([name, column]) => [column.name, typedValue(item, name)])),
  }
}

/** Rows of one import at most: one write must fit a batch of a small edge host. */
export const MAX_IMPORT_ROWS = 50_000

/**
 * Inserts or updates items by SKU in one write: either all of them or none. Returns how many rows changed.
 * @throws DomainError QUANTITY_OUT_OF_RANGE when there are more than `MAX_IMPORT_ROWS`
 */
export async function upsertItems(database: Database, shopId: string, items: readonly HashedItem[]): Promise<number> {
  if (items.length > MAX_IMPORT_ROWS)
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `items must be at most ${MAX_IMPORT_ROWS} an import, got ${items.length}`,
      { path: '/items', limit: MAX_IMPORT_ROWS, value: items.length },
    )
  const statements = []
  for (let start = 0; start < items.length; start += ROWS_A_STATEMENT) {
    const rows = items.slice(start, start + ROWS_A_STATEMENT).map(toRow)
    statements.push({ sql: UPSERT, args: [shopId, JSON.stringify(rows)] })
  }
  return statements.length === 0 ? 0 : write(database, statements)
}

/** A little wider than the core's own slack, so that a value on the edge always reaches it. */
const SLACK = 1e-8
const below = (column: SQL, low: number) => sql`${column} < ${low - Math.abs(low) * SLACK}`
const above = (column: SQL, high: number) => sql`${column} > ${high + Math.abs(high) * SLACK}`

function numberFails(column: SQL, { op, value, to }: Constraint): SQL {
  const low = Number(value)
  if (op === 'max') return above(column, low)
  if (op === 'min' || to === undefined) return below(column, low)
  return sql`(${below(column, low)} or ${above(column, to)})`
}

function columnOf(attribute: string) {
  return Object.hasOwn(TYPED_COLUMNS, attribute) ? TYPED_COLUMNS[attribute as TypedName] : undefined
}

/** SQL that is true when the column surely fails, false when it surely holds, null when unknown; undefined where SQL cannot tell. */
function failure(constraint: Constraint): SQL | undefined {
  const { attribute, op, value } = constraint
  const column = columnOf(attribute)
  if (column === undefined || op === 'covers') return undefined
  const wanted = Array.isArray(value) ? value : [value]
  const name = sql`${column}`
  const isNumeric = column.dataType === 'number'
  if (wanted.length === 0 || wanted.some((one) => typeof one !== (isNumeric ? 'number' : 'string'))) return undefined
  if (op === 'eq' || op === 'in') {
    const misses = wanted.map((one) =>
      isNumeric ? sql`(${below(name, Number(one))} or ${above(name, Number(one))})` : sql`${name} <> ${one}`,
    )
    return sql`(${sql.join(misses, sql` and `)})`
  }
  return isNumeric && !Array.isArray(value) ? numberFails(name, constraint) : undefined
}

/** What an item is made of; the typed columns only repeat its attributes. */
const ITEM_COLUMNS = {
  sku: catalogueItems.sku,
  partClass: catalogueItems.partClass,
  title: catalogueItems.title,
  attributes: catalogueItems.attributes,
  priceMinor: catalogueItems.priceMinor,
  currency: catalogueItems.currency,
  stock: catalogueItems.stock,
  packQuantity: catalogueItems.packQuantity,
}
type ItemRow = Pick<typeof catalogueItems.$inferSelect, keyof typeof ITEM_COLUMNS>

function toItem(row: ItemRow): Item {
  return {
    sku: row.sku,
    partClass: row.partClass,
    title: row.title,
    attributes: JSON.parse(row.attributes),
    ...(row.priceMinor === null ? {} : { priceMinor: row.priceMinor }),
    ...(row.currency === null ? {} : { currency: row.currency }),
    ...(row.stock === null ? {} : { stock: row.stock }),
    ...(row.packQuantity === null ? {} : { packQuantity: row.packQuantity }),
  }
}

const sum = (terms: SQL[]) => (terms.length > 0 ? sql`(${sql.join(terms, sql` + `)})` : sql`0`)

/** Order of the core as far as SQL can tell it, so that what a limit cuts off ranks behind what it keeps. */
function bestFirst({ constraints, quantity }: Requirement, relaxable: SQL[]): SQL {
  const { priceMinor, packQuantity, stock, sku } = catalogueItems
  const unknown = constraints.flatMap(({ kind, attribute }) => {
    const column = kind === 'hard' ? columnOf(attribute) : undefined
    return column ? [sql`(${column} is null)`] : []
  })
  const preferences = constraints.filter(({ kind }) => kind === 'soft').flatMap((soft) => failure(soft) ?? [])
  const packsNeeded = sql`((cast(${quantity} as integer) + ${packQuantity} - 1) / ${packQuantity})`
  const terms = [
    ...[relaxable, unknown].filter(({ length }) => length > 0).map(sum),
    ...preferences.map((fails) => sql`coalesce(${fails}, 1)`),
    sql`coalesce(${stock} >= ${packsNeeded}, 0) desc`,
    sql`${packsNeeded} * ${priceMinor} nulls last`,
    sku,
  ]
  return sql.join(terms, sql`, `)
}

/** A partial index serves only a statement that repeats its condition word for word, not as a bound value. */
function isOfClass(partClass: string): SQL {
  const wanted = partClass === BATTERY_CLASS ? sql.raw(`'${BATTERY_CLASS}'`) : sql`${partClass}`
  return sql`${catalogueItems.partClass} = ${wanted}`
}

/**
 * Items of one shop that the matcher may accept. SQL only narrows and never decides: it leaves out what surely fails a
 * safety constraint or two others; what is unknown stays. The best `limit` of them, in no order.
 */
export async function narrowItems(
  { orm }: Database,
  shopId: string,
  requirement: Requirement,
  limit: number,
): Promise<Item[]> {
  const hard = requirement.constraints.filter(({ kind }) => kind === 'hard')
  const failuresOf = (isSafety: boolean) =>
    hard
      .filter((constraint) => constraint.isSafety === isSafety)
      .flatMap((constraint) => failure(constraint) ?? [])
      .map((fails) => sql`coalesce(${fails}, 0)`)
  const relaxable = failuresOf(false)
  const ofShop = eq(catalogueItems.shopId, shopId)
  const mayFit = and(
    ofShop,
    isOfClass(requirement.partClass),
    sql`${sum(failuresOf(true))} = 0`,
    sql`${sum(relaxable)} <= 1`,
  )
  const best = sql`select rowid from ${catalogueItems} where ${mayFit} order by ${bestFirst(requirement, relaxable)} limit ${limit}`
  const rows = await orm
    .select(ITEM_COLUMNS)
    .from(catalogueItems)
    .where(and(ofShop, sql`rowid in (${best})`))
  return rows.map(toItem)
}

/** How many items a shop has. */
export async function countItems({ orm }: Database, shopId: string): Promise<number> {
  return orm.$count(catalogueItems, eq(catalogueItems.shopId, shopId))
}
