import { and, eq, isNull, type SQL, sql } from 'drizzle-orm'
import type { SearchUnit } from '../../domain/parts/search-words.ts'
import type { Database } from '../database.ts'
import { catalogueItems, TYPED_COLUMNS } from '../schema/catalogue.ts'
import { type CatalogueItem, itemsByIds, shopWord } from './rows.ts'

/** What is searched for: units of a question, each with words that it may have meant. */
export interface WordQuery {
  units: readonly (SearchUnit & { meant: readonly string[] })[]
  /** Which of the units an item must have. */
  needs: 'all' | 'all-but-one' | 'any'
}
export interface WordFilter {
  partClass?: string | undefined
  isInStock?: boolean | undefined
  /** Values of typed attributes, as they are written. */
  attributes?: Readonly<Record<string, string>> | undefined
}
export interface Facets {
  /** Hits whose attributes were counted. */
  counted: number
  partClasses: { value: string; count: number }[]
  attributes: { attribute: string; values: { value: string; count: number }[] }[]
}

const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`

function unitExpression(shopId: string, { forms, isNumber, meant }: WordQuery['units'][number]): string {
  const word = (one: string, isBegun: boolean) => quoted(shopWord(shopId, one)) + (isBegun ? ' *' : '')
  const written = forms.map((form) => `(${form.map((one) => word(one, !isNumber && one.length > 1)).join(' AND ')})`)
  return `(${[...written, ...meant.map((one) => word(one, true))].join(' OR ')})`
}

function expressionOf(shopId: string, { units, needs }: WordQuery): string {
  const each = units.map((unit) => unitExpression(shopId, unit))
  if (needs !== 'all-but-one') return each.join(needs === 'any' ? ' OR ' : ' AND ')
  const without = each.map((_, left) => each.filter((_one, at) => at !== left).join(' AND '))
  return without.map((rest) => `(${rest})`).join(' OR ')
}

const isTyped = (name: string): name is keyof typeof TYPED_COLUMNS => Object.hasOwn(TYPED_COLUMNS, name)

function filtered(shopId: string, { partClass, isInStock, attributes = {} }: WordFilter): SQL | undefined {
  const typed = Object.entries(attributes).map(([name, value]) => {
    if (!isTyped(name))
      return sql`cast(json_extract(${catalogueItems.attributes}, ${`$."${name.replaceAll('"', '')}"`}) as text) = ${value}`
    if (TYPED_COLUMNS[name].dataType !== 'number') return sql`${TYPED_COLUMNS[name]} = ${value}`
    // No item has what is no number.
    return Number.isFinite(Number(value)) ? sql`${TYPED_COLUMNS[name]} = ${Number(value)}` : sql`false`
  })
  return and(
    sql`+${catalogueItems.shopId} = ${shopId}`,
    isNull(catalogueItems.retiredAt),
    partClass === undefined ? undefined : sql`+${catalogueItems.partClass} = ${partClass}`,
    isInStock === undefined ? undefined : isInStock ? sql`stock > 0` : sql`coalesce(stock, 0) = 0`,
    ...typed,
  )
}

/** Words of the title weigh more than numbers, and those more than the rest. */
const RANK = sql.raw('bm25(catalogue_words, 4.0, 3.0, 1.0)')
const matching = (shopId: string, query: WordQuery) => sql`catalogue_words match ${expressionOf(shopId, query)}`

const JOINED = sql`catalogue_words join catalogue_items on catalogue_items.id = catalogue_words.rowid`
const isFiltering = ({ partClass, isInStock, attributes = {} }: WordFilter) =>
  partClass !== undefined || isInStock !== undefined || Object.keys(attributes).length > 0

/** Ids of the best hits. Without a filter the index of words ranks alone, which spares fetching every item that has them. */
function bestIds(shopId: string, query: WordQuery, filter: WordFilter, limit: number): SQL {
  const from = isFiltering(filter) ? JOINED : sql`catalogue_words`
  const narrowed = isFiltering(filter) ? sql` and ${filtered(shopId, filter)}` : sql``
  return sql`select catalogue_words.rowid as at, ${RANK} as weight from ${from} where ${matching(shopId, query)}${narrowed} order by weight, at limit ${limit}`
}

/** Items with the words asked for, best first. */
export async function findByWords(
  database: Database,
  shopId: string,
  query: WordQuery,
  filter: WordFilter,
  limit: number,
): Promise<CatalogueItem[]> {
  if (query.units.length === 0) return []
  const ranked = await database.orm.all<{ id: number; sku: string }>(
    sql`select catalogue_items.id as id, catalogue_items.sku as sku from (${bestIds(shopId, query, filter, limit)}) as best
join catalogue_items on catalogue_items.id = best.at where ${filtered(shopId, {})} order by best.weight, best.at`,
  )
  if (ranked.length === 0) return []
  const ids = sql.join(
    ranked.map(({ id }) => sql`${id}`),
    sql`, `,
  )
  const bySku = new Map((await itemsByIds(database, shopId, ids)).map((item) => [item.sku, item]))
  return ranked.flatMap(({ sku }) => bySku.get(sku) ?? [])
}

/** Items whose SKU, maker's number or GTIN it is. */
export async function findByNumber(
  database: Database,
  shopId: string,
  { asked, gtin14 }: { asked: string; gtin14?: string | undefined },
  filter: WordFilter,
): Promise<CatalogueItem[]> {
  const numbers: [SQL | undefined, ...(SQL | undefined)[]] = [
    eq(catalogueItems.sku, asked),
    eq(catalogueItems.mpn, asked),
    gtin14 === undefined ? undefined : eq(catalogueItems.gtin14, gtin14),
  ]
  const branches = numbers
    .filter((number) => number !== undefined)
    .map((number) => sql`select id from catalogue_items where shop_id = ${shopId} and ${number}`)
  const ids = sql`select id from catalogue_items where id in (${sql.join(branches, sql` union `)}) and ${filtered(shopId, filter)} limit 20`
  return itemsByIds(database, shopId, ids)
}

/** Most of the hits whose attributes are counted value by value. */
const MOST_COUNTED = 5000
const MOST_VALUES = 20
const COUNTED = [
  'nominalVoltageV',
  'capacityAh',
  'terminal',
  'chemistry',
  'sizeName',
  'resistanceOhm',
  'outputVoltageV',
  'ratedCurrentA',
] as const

/** All hits by part class, most first. */
function countClasses({ orm }: Database, shopId: string, query: WordQuery, filter: WordFilter) {
  return orm.all<{ value: string; count: number }>(
    sql`select part_class as value, count(*) as count from ${JOINED}
where ${matching(shopId, query)} and ${filtered(shopId, filter)} group by value order by count desc, value`,
  )
}

/** Values of the attributes that tell most, over the first hits. */
async function countAttributes({ orm }: Database, shopId: string, query: WordQuery, filter: WordFilter) {
  const columns = sql.join(
    COUNTED.map((name) => TYPED_COLUMNS[name]),
    sql`, `,
  )
  const counts = COUNTED.map((name) => {
    const column = sql.identifier(TYPED_COLUMNS[name].name)
    return sql`select ${name} as attribute, ${column} as value, count(*) as count from hits where value is not null group by value`
  })
  return orm.all<{ attribute: string; value: string | number; count: number }>(
    sql`with hits as materialized (select ${columns} from ${JOINED}
where ${matching(shopId, query)} and ${filtered(shopId, filter)} limit ${MOST_COUNTED})
${sql.join(counts, sql` union all `)} order by count desc, value`,
  )
}

/**
 * How many of the hits there are of each part class, and of each value of the attributes that tell most: where there are
 * very many hits, of their most frequent class only.
 */
export async function readFacets(
  database: Database,
  shopId: string,
  query: WordQuery,
  filter: WordFilter,
): Promise<Facets & { total: number }> {
  if (query.units.length === 0) return { total: 0, counted: 0, partClasses: [], attributes: [] }
  const partClasses = await countClasses(database, shopId, query, filter)
  const total = partClasses.reduce((sum, { count }) => sum + count, 0)
  if (total === 0) return { total, counted: 0, partClasses, attributes: [] }
  const ofClass = total > MOST_COUNTED ? partClasses[0] : undefined
  const rows = await countAttributes(
    database,
    shopId,
    query,
    ofClass ? { ...filter, partClass: ofClass.value } : filter,
  )
  const of = (name: string) =>
    rows
      .filter(({ attribute }) => attribute === name)
      .slice(0, MOST_VALUES)
      .map(({ value, count }) => ({ value: String(value), count }))
  return {
    total,
    counted: Math.min(ofClass?.count ?? total, MOST_COUNTED),
    partClasses: partClasses.slice(0, MOST_VALUES),
    attributes: COUNTED.map((attribute) => ({ attribute, values: of(attribute) })).filter(
      ({ values }) => values.length > 0,
    ),
  }
}

/** Words of a shop's items that are about as long. */
export async function vocabularyLike(
  { orm }: Database,
  shopId: string,
  length: number,
  edits: number,
): Promise<string[]> {
  const [row] = await orm.all<{ words: string | null }>(
    sql`select group_concat(word, ' ') as words from catalogue_vocabulary where shop_id = ${shopId} and length(word) between ${length - edits} and ${length + edits + 12}`,
  )
  return row?.words?.split(' ') ?? []
}
