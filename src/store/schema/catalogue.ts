import { sql } from 'drizzle-orm'
import { index, integer, primaryKey, real, sqliteTable, text, uniqueIndex } from 'drizzle-orm/sqlite-core'
import { ofShop } from './shops.ts'

/** Attributes kept in typed columns, by their name in the ontology: matching narrows by them, search counts them. */
const typedColumns = () => ({
  nominalVoltageV: real('nominal_voltage_v'),
  capacityAh: real('capacity_ah'),
  lengthMm: real('length_mm'),
  widthMm: real('width_mm'),
  heightMm: real('height_mm'),
  terminal: text('terminal'),
  chemistry: text('chemistry'),
  resistanceOhm: real('resistance_ohm'),
  powerW: real('power_w'),
  toleranceFraction: real('tolerance_fraction'),
  voltageKind: text('voltage_kind'),
  inputVoltageV: real('input_voltage_v'),
  outputVoltageV: real('output_voltage_v'),
  apparentPowerVA: real('apparent_power_va'),
  currentA: real('current_a'),
  ratedCurrentA: real('rated_current_a'),
  fuseSpeed: text('fuse_speed'),
  sizeName: text('size_name'),
  familyKey: text('family_key'),
  bandMHz: real('band_mhz'),
})

/** What an item is made of: the same in the catalogue and while it waits in an import. */
const itemColumns = () => ({
  sku: text('sku').notNull(),
  partClass: text('part_class').notNull(),
  title: text('title').notNull(),
  priceMinor: integer('price_minor'),
  currency: text('currency'),
  stock: integer('stock'),
  packQuantity: integer('pack_quantity'),
  /** All attributes as JSON; the typed columns below repeat those that matching narrows by. */
  attributes: text('attributes').notNull(),
  contentHash: text('content_hash').notNull(),
  ...typedColumns(),
  gtin14: text('gtin14'),
  mpn: text('mpn'),
  brand: text('brand'),
  madeOn: text('made_on'),
  isDiscontinued: integer('is_discontinued', { mode: 'boolean' }),
  successorSku: text('successor_sku'),
  needsInstaller: integer('needs_installer', { mode: 'boolean' }),
  needsActivation: integer('needs_activation', { mode: 'boolean' }),
  /** Names of the attributes that were read out of the title, as JSON; null when all were stated. */
  readFromTitle: text('read_from_title'),
})

export const catalogueItems = sqliteTable(
  'catalogue_items',
  {
    /** Stays the same whatever happens to the file: the index of words refers to it. */
    id: integer('id').primaryKey(),
    shopId: ofShop(),
    ...itemColumns(),
    /** The import that changed the item last; null when it was put alone. */
    importId: text('import_id'),
    updatedAt: integer('updated_at').notNull().default(0),
    /** When an import that replaces the catalogue no longer named it; a retired item is neither matched nor found. */
    retiredAt: integer('retired_at'),
    /** Version of the words by which it is found; 0 when they are not written yet. */
    indexedAs: integer('indexed_as').notNull().default(0),
  },
  (table) => [
    uniqueIndex('items_sku').on(table.shopId, table.sku),
    index('items_gtin').on(table.shopId, table.gtin14).where(sql`gtin14 is not null`),
    index('items_mpn').on(table.shopId, table.mpn).where(sql`mpn is not null`),
    index('items_unindexed').on(table.shopId).where(sql`indexed_as = 0`),
    /** Everything that narrowing and ranking look at, so that the rows of a class are never fetched to be thrown away. */
    index('items_narrow').on(
      table.shopId,
      table.partClass,
      table.retiredAt,
      ...Object.values(typedOf(table)),
      table.priceMinor,
      table.stock,
      table.packQuantity,
      table.sku,
    ),
  ],
)

type TypedName = keyof ReturnType<typeof typedColumns>

/** The typed columns of the table; the most telling ones of the busiest class come first. */
function typedOf<T extends Record<TypedName, unknown>>(table: T): Pick<T, TypedName> {
  const { capacityAh, ...others } = typedColumns()
  const names = Object.keys({ capacityAh, ...others }) as TypedName[]
  return Object.fromEntries(names.map((name) => [name, table[name]])) as Pick<T, TypedName>
}

export const TYPED_COLUMNS = typedOf(catalogueItems)

export const catalogueImports = sqliteTable(
  'catalogue_imports',
  {
    shopId: ofShop(),
    id: text('id').notNull(),
    status: text('status', { enum: ['open', 'committed', 'checked'] }).notNull(),
    /** How the rows are to be read and applied, as JSON. */
    options: text('options').notNull(),
    openedAt: integer('opened_at').notNull(),
    /** Last sign of life: an import that is left alone is cleaned up. */
    touchedAt: integer('touched_at').notNull(),
    endedAt: integer('ended_at'),
    /** What the commit found and did, as JSON. */
    outcome: text('outcome'),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.id] })],
)

export const catalogueImportParts = sqliteTable(
  'catalogue_import_parts',
  {
    shopId: ofShop(),
    importId: text('import_id').notNull(),
    part: integer('part').notNull(),
    /** The upload whose rows count; null while the first one is still coming in. */
    uploadId: text('upload_id'),
    /** Counts, findings and totals by code, as JSON. */
    report: text('report'),
  },
  (table) => [primaryKey({ columns: [table.shopId, table.importId, table.part] })],
)

/** Rows of uploads, waiting for their import to be committed. */
export const catalogueStaged = sqliteTable(
  'catalogue_staged',
  {
    shopId: ofShop(),
    importId: text('import_id').notNull(),
    uploadId: text('upload_id').notNull(),
    row: integer('row').notNull(),
    line: integer('line').notNull(),
    /** A row that is left out, kept only so that its item is not taken for a missing one. */
    isRefused: integer('is_refused', { mode: 'boolean' }).notNull(),
    ...itemColumns(),
    /** Words of the title, of the numbers and of everything else, ready for the index. */
    titleWords: text('title_words').notNull(),
    numberWords: text('number_words').notNull(),
    otherWords: text('other_words').notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.importId, table.uploadId, table.row] }),
    index('staged_sku').on(table.shopId, table.importId, table.sku),
  ],
)

/** Words of a shop's items, without numbers: what a misspelt word may have meant. */
export const catalogueVocabulary = sqliteTable(
  'catalogue_vocabulary',
  { shopId: ofShop(), word: text('word').notNull() },
  (table) => [primaryKey({ columns: [table.shopId, table.word] })],
)
