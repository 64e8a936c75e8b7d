import { and, eq, type SQL, sql } from 'drizzle-orm'
import type { Constraint, Item, Requirement } from '../domain/parts/types.ts'
import { type Database, write } from './database.ts'
import { catalogueItems, TYPED_COLUMNS } from './schema.ts'

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

/** Inserts or updates items by SKU in one write: either all of them or none. Returns how many rows changed. */
export async function upsertItems(database: Database, shopId: string, items: readonly HashedItem[]): Promise<number> {
  const statements = []
  for (let start = 0; start < items.length; start += ROWS_A_STATEMENT) {
    const rows = items.slice(start, start + ROWS_A_STATEMENT).map(toRow)
    statements.push({ sql: UPSERT, args: [shopId, JSON.stringify(rows)] })
  }
  return statements.length === 0 ? 0 : write(database, statements)
}

/** A little wider than the core's own slack, so that a value on the edge always reaches it. */
const SLACK = 1e-8

function numberFails(column: SQL, op: Constraint['op'], low: number, high: number): SQL {
  const below = sql`${column} < ${low - Math.abs(low) * SLACK}`
  const above = sql`${column} > ${high + Math.abs(high) * SLACK}`
  if (op === 'min') return below
  return op === 'max' ? sql`${column} > ${low + Math.abs(low) * SLACK}` : sql`(${below} or ${above})`
}

/** SQL that is 1 when the column is known and surely fails the constraint, 0 otherwise; undefined where SQL cannot tell. */
function failure(constraint: Constraint): SQL | undefined {
  const { attribute, op, value, to } = constraint
  const column = TYPED_COLUMNS[attribute as TypedName] as (typeof TYPED_COLUMNS)[TypedName] | undefined
  if (column === undefined || op === 'covers') return undefined
  const wanted = Array.isArray(value) ? value : [value]
  const name = sql`${column}`
  const isNumeric = column.dataType === 'number'
  if (wanted.some((one) => typeof one !== (isNumeric ? 'number' : 'string'))) return undefined
  if (op === 'eq' || op === 'in') {
    const misses = wanted.map((one) =>
      isNumeric ? numberFails(name, 'range', Number(one), Number(one)) : sql`${name} <> ${one}`,
    )
    return sql`coalesce(${sql.join(misses, sql` and `)}, 0)`
  }
  if (!isNumeric) return undefined
  return sql`coalesce(${numberFails(name, op, Number(wanted[0]), to ?? Number.MAX_VALUE)}, 0)`
}

function toItem(row: typeof catalogueItems.$inferSelect): Item {
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

/**
 * Items of one shop that the matcher may accept. SQL only narrows and never decides: it leaves out what surely fails a
 * safety constraint or two others; what is unknown stays. Best first, at most `limit`.
 */
export async function narrowItems(
  { orm }: Database,
  shopId: string,
  requirement: Requirement,
  limit: number,
): Promise<Item[]> {
  const hard = requirement.constraints.filter(({ kind }) => kind === 'hard')
  const failuresOf = (isSafety: boolean) =>
    hard.filter((constraint) => constraint.isSafety === isSafety).flatMap((constraint) => failure(constraint) ?? [])
  const sum = (parts: SQL[]) => (parts.length > 0 ? sql.join(parts, sql` + `) : sql`0`)
  const relaxable = sql`(${sum(failuresOf(false))})`
  const rows = await orm
    .select()
    .from(catalogueItems)
    .where(
      and(
        eq(catalogueItems.shopId, shopId),
        eq(catalogueItems.partClass, requirement.partClass),
        sql`(${sum(failuresOf(true))}) = 0`,
        sql`${relaxable} <= 1`,
      ),
    )
    .orderBy(relaxable, catalogueItems.priceMinor, catalogueItems.sku)
    .limit(limit)
  return rows.map(toItem)
}

/** How many items a shop has. */
export async function countItems({ orm }: Database, shopId: string): Promise<number> {
  return orm.$count(catalogueItems, eq(catalogueItems.shopId, shopId))
}
