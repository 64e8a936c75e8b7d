import { and, eq, isNull, type SQL, sql } from 'drizzle-orm'
import type { Constraint, Item, Requirement } from '../../domain/parts/types.ts'
import type { Database } from '../database.ts'
import { catalogueItems, TYPED_COLUMNS } from '../schema/catalogue.ts'
import { itemsByIds } from './rows.ts'

type TypedName = keyof typeof TYPED_COLUMNS

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

const { id, sku, priceMinor, packQuantity, stock } = catalogueItems
/** All that ranking looks at; the index holds it, so that only the rows of the best are fetched. */
const RANKED = sql.join([id, sku, priceMinor, packQuantity, stock, ...Object.values(TYPED_COLUMNS)], sql`, `)

const sum = (terms: SQL[]) => (terms.length > 0 ? sql`(${sql.join(terms, sql` + `)})` : sql`0`)

/** Order of the core as far as SQL can tell it, so that what a limit cuts off ranks behind what it keeps. */
function bestFirst({ constraints, quantity }: Requirement): SQL {
  const unknown = constraints.flatMap(({ kind, attribute }) => {
    const column = kind === 'hard' ? columnOf(attribute) : undefined
    return column ? [sql`(${column} is null)`] : []
  })
  const preferences = constraints.filter(({ kind }) => kind === 'soft').flatMap((soft) => failure(soft) ?? [])
  const packsNeeded = sql`((cast(${quantity} as integer) + ${packQuantity} - 1) / ${packQuantity})`
  const terms = [
    ...(unknown.length > 0 ? [sum(unknown)] : []),
    ...preferences.map((fails) => sql`coalesce(${fails}, 1)`),
    ...(preferences.length > 0 ? [sum(preferences.map((fails) => sql`coalesce(${fails}, 0)`))] : []),
    sql`coalesce(${stock} >= ${packsNeeded}, 0) desc`,
    sql`${packsNeeded} * ${priceMinor} nulls last`,
    sku,
  ]
  return sql.join(terms, sql`, `)
}

/** The column behind the class in the index: where it is bounded, only that stretch of the index is walked through. */
const LEADING = 'capacityAh'
const everywhere = sql`true`

/** Stretches of the index in which items that may fit can be: within the bounds, and where the value is unknown. */
function stretches(hard: readonly Constraint[]): SQL[] {
  const bounds = hard.find(
    ({ attribute, op, value }) => attribute === LEADING && op !== 'covers' && typeof value === 'number',
  )
  if (!bounds) return [everywhere]
  const column = sql`${TYPED_COLUMNS[LEADING]}`
  const [low, high] = [bounds.op === 'max' ? undefined : Number(bounds.value), highestOf(bounds)]
  const within = [
    ...(low === undefined ? [] : [sql`${column} >= ${low - Math.abs(low) * SLACK}`]),
    ...(high === undefined ? [] : [sql`${column} <= ${high + Math.abs(high) * SLACK}`]),
  ]
  return [sql`(${sql.join(within, sql` and `)})`, sql`${column} is null`]
}

function highestOf({ op, value, to }: Constraint): number | undefined {
  if (op === 'range') return to
  return op === 'min' ? undefined : Number(value)
}

/**
 * Items of one shop that the matcher may accept. SQL only narrows and never decides: it leaves out what surely fails a
 * safety constraint or two others; what is unknown stays. The best `limit` of them, in no order: near misses only where
 * what may fit does not fill it.
 */
export async function narrowItems(
  database: Database,
  shopId: string,
  requirement: Requirement,
  limit: number,
): Promise<Item[]> {
  const hard = requirement.constraints.filter(({ kind }) => kind === 'hard')
  const failuresOf = (isSafety: boolean) =>
    hard.filter((constraint) => constraint.isSafety === isSafety).flatMap((constraint) => failure(constraint) ?? [])
  const [unsafe, relaxable] = [failuresOf(true), failuresOf(false)]
  const among = and(
    eq(catalogueItems.shopId, shopId),
    eq(catalogueItems.partClass, requirement.partClass),
    isNull(catalogueItems.retiredAt),
    ...unsafe.map((fails) => sql`(${fails}) is not true`),
  )
  const ranking = bestFirst(requirement)
  const best = (stretches: (SQL | undefined)[], most: number) => {
    const branches = stretches.map((where) => sql`select ${RANKED} from ${catalogueItems} where ${where}`)
    return sql`select id from (${sql.join(branches, sql` union all `)}) as catalogue_items order by ${ranking} limit ${most}`
  }
  const mayFit = and(among, ...relaxable.map((fails) => sql`(${fails}) is not true`))
  const fitting = await itemsByIds(
    database,
    shopId,
    best(
      stretches(hard).map((stretch) => and(mayFit, stretch)),
      limit,
    ),
  )
  if (relaxable.length === 0 || fitting.length >= limit) return fitting
  const isNearMiss = sql`${sum(relaxable.map((fails) => sql`((${fails}) is true)`))} = 1`
  return [...fitting, ...(await itemsByIds(database, shopId, best([and(among, isNearMiss)], limit - fitting.length)))]
}
