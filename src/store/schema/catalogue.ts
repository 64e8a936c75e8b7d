import { sql } from 'drizzle-orm'
import { index, integer, primaryKey, real, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import { shops } from './shops.ts'

/** The busiest kind of part, with an index of its own. */
export const BATTERY_CLASS = 'part-class/vrla-battery-12v'

export const catalogueItems = sqliteTable(
  'catalogue_items',
  {
    shopId: text('shop_id')
      .notNull()
      .references(() => shops.id),
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
  },
  (table) => [
    primaryKey({ columns: [table.shopId, table.sku] }),
    index('items_class').on(table.shopId, table.partClass),
    index('items_battery')
      .on(
        table.shopId,
        table.nominalVoltageV,
        table.capacityAh,
        table.lengthMm,
        table.widthMm,
        table.heightMm,
        table.terminal,
        table.chemistry,
        table.priceMinor,
        table.stock,
        table.packQuantity,
        table.sku,
      )
      .where(sql.raw(`part_class = '${BATTERY_CLASS}'`)),
  ],
)

/** Attributes kept in typed columns, by their name in the ontology. */
export const TYPED_COLUMNS = {
  nominalVoltageV: catalogueItems.nominalVoltageV,
  capacityAh: catalogueItems.capacityAh,
  lengthMm: catalogueItems.lengthMm,
  widthMm: catalogueItems.widthMm,
  heightMm: catalogueItems.heightMm,
  terminal: catalogueItems.terminal,
  chemistry: catalogueItems.chemistry,
  resistanceOhm: catalogueItems.resistanceOhm,
  powerW: catalogueItems.powerW,
  toleranceFraction: catalogueItems.toleranceFraction,
  voltageKind: catalogueItems.voltageKind,
  inputVoltageV: catalogueItems.inputVoltageV,
  outputVoltageV: catalogueItems.outputVoltageV,
  apparentPowerVA: catalogueItems.apparentPowerVA,
  currentA: catalogueItems.currentA,
  ratedCurrentA: catalogueItems.ratedCurrentA,
  fuseSpeed: catalogueItems.fuseSpeed,
  sizeName: catalogueItems.sizeName,
  familyKey: catalogueItems.familyKey,
  bandMHz: catalogueItems.bandMHz,
} as const
