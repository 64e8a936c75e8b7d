import { and, eq, isNull, type SQL, sql } from 'drizzle-orm'
import type { SearchUnit } from '../../domain/parts/search-words.ts'
import type { Database } from '../database.ts'
import { catalogueItems, TYPED_COLUMNS } from '../schema/catalogue.ts'
import { type CatalogueItem, itemsByIds, shopWord } from './rows.ts'

/** What is searched for: units of a question, each with words that it may have meant. */
export interface WordQuery {
  units: readonly (SearchUnit & { meant: readonly string[] })[]
  /** Whether one of the units is enough. */
  isPartial: boolean
}
export interface WordFilter {
  partClass?: string | undefined
  isInStock?: boolean | undefined
  /** Values of typed attributes, as they are written. */
  attributes?: Readonly<Record<string, string>> | undefined
}
export interface Facets {
  /** Hits that were counted. */
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

const expressionOf = (shopId: string, { units, isPartial }: WordQuery) =>
  units.map((unit) => unitExpression(shopId, unit)).join(isPartial ? ' OR ' : ' AND ')

const isTyped = (name: string): name is keyof typeof TYPED_COLUMNS => Object.hasOwn(TYPED_COLUMNS, name)

function filtered(shopId: string, { partClass, isInStock, attributes = {} }: WordFilter): SQL | undefined {
  const typed = Object.entries(attributes).map(([name, value]) =>
    isTyped(name)
      ? sql`${TYPED_COLUMNS[name]} = ${TYPED_COLUMNS[name].dataType === 'number' ? Number(value) : value}`
      : sql`json_extract(${catalogueItems.attributes}, ${`$."${name.replaceAll('"', '')}"`}) = ${value}`,
  )
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

/** Items with the words asked for, best first, and how many there are. */
export async function findByWords(
  database: Database,
  shopId: string,
  query: WordQuery,
  filter: WordFilter,
  limit: number,
): Promise<{ items: CatalogueItem[]; total: number }> {
  if (query.units.length === 0) return { items: [], total: 0 }
  const hits = sql`from catalogue_words join catalogue_items on catalogue_items.id = catalogue_words.rowid
where ${matching(shopId, query)} and ${filtered(shopId, filter)}`
  const ranked = await database.orm.all<{ id: number; sku: string }>(
    sql`select catalogue_items.id as id, catalogue_items.sku as sku ${hits} order by ${RANK}, catalogue_items.sku limit ${limit}`,
  )
  if (ranked.length === 0) return { items: [], total: 0 }
  const total = ranked.length < limit ? ranked.length : await countOf(database, hits)
  const ids = sql.join(
    ranked.map(({ id }) => sql`${id}`),
    sql`, `,
  )
  const bySku = new Map((await itemsByIds(database, shopId, ids)).map((item) => [item.sku, item]))
  return { items: ranked.flatMap(({ sku }) => bySku.get(sku) ?? []), total }
}

async function countOf({ orm }: Database, hits: SQL): Promise<number> {
  const [row] = await orm.all<{ total: number }>(sql`select count(*) as total ${hits}`)
  return row?.total ?? 0
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

/** Most of the hits that are counted value by value. */
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

/** How many of the hits there are of each part class and of each value of the attributes that tell most. */
export async function readFacets(
  { orm }: Database,
  shopId: string,
  query: WordQuery,
  filter: WordFilter,
): Promise<Facets> {
  if (query.units.length === 0) return { counted: 0, partClasses: [], attributes: [] }
  const columns = COUNTED.map((name) => TYPED_COLUMNS[name])
  const counts = COUNTED.map(
    (name) =>
      sql`select ${name} as attribute, ${sql.identifier(TYPED_COLUMNS[name].name)} as value, count(*) as count from hits where value is not null group by value`,
  )
  const rows = await orm.all<{ attribute: string; value: string | number; count: number }>(
    sql`with hits as materialized (select ${sql.join([catalogueItems.partClass, ...columns], sql`, `)} from catalogue_words
join catalogue_items on catalogue_items.id = catalogue_words.rowid
where ${matching(shopId, query)} and ${filtered(shopId, filter)} limit ${MOST_COUNTED})
select 'partClass' as attribute, part_class as value, count(*) as count from hits group by value
union all ${sql.join(counts, sql` union all `)} order by count desc, value`,
  )
  const of = (name: string) =>
    rows
      .filter(({ attribute }) => attribute === name)
      .slice(0, MOST_VALUES)
      .map(({ value, count }) => ({ value: String(value), count }))
  const byClass = rows.filter(({ attribute }) => attribute === 'partClass')
  return {
    counted: byClass.reduce((sum, { count }) => sum + count, 0),
    partClasses: of('partClass'),
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
