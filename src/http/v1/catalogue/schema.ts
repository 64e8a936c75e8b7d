import { z } from '@hono/zod-openapi'
import { LIMITS } from '../../limits.ts'
import { behindKey } from '../../middleware/key.ts'
import { INPUT_PROBLEM, KEY_PROBLEMS, READ_PROBLEMS } from '../../schema.ts'

const Attribute = z
  .string()
  .regex(/^[a-z][A-Za-z0-9]{0,60}$/)
  .refine((name) => !(name in Object.prototype), 'must be the name of an attribute')
const Value = z.union([
  z.number(),
  z.string().max(100),
  z.boolean(),
  z.strictObject({ min: z.number(), max: z.number() }),
])
const Count = z.number().int().min(0)
const Currency = z.string().regex(/^[A-Z]{3}$/)

/** Fields of an item as a shop states them. */
const ITEM = {
  partClass: z.string().max(120),
  title: z.string().min(1).max(200),
  attributes: z.record(Attribute, Value).openapi({
    description: 'By their names in the part class; the unit is in the name. A text such as "7.2 Ah" is converted',
  }),
  stock: Count.optional(),
  packQuantity: z.number().int().min(1).optional(),
  priceMinor: Count.optional().openapi({ description: 'Price of one pack in the minor unit of its currency' }),
  currency: Currency.optional(),
  gtin14: z.string().max(20).optional().openapi({ description: 'GTIN of 8, 12, 13 or 14 digits; kept as 14' }),
  mpn: z.string().max(80).optional(),
  brand: z.string().max(80).optional(),
  madeOn: z.iso.date().optional(),
  isDiscontinued: z.boolean().optional(),
  successorSku: z.string().max(80).optional(),
  needsInstaller: z.boolean().optional(),
  needsActivation: z.boolean().optional(),
}
const Sku = z.string().min(1).max(80)

export const PutItemSchema = z
  .strictObject({ sku: Sku.optional().openapi({ description: 'As in the path, or left out' }), ...ITEM })
  .openapi('PutCatalogueItemRequest', {
    example: {
      partClass: 'part-class/vrla-battery-12v',
      title: 'Standby battery 12 V 7 Ah',
      attributes: { nominalVoltageV: 12, capacityAh: 7, heightMm: 100, terminal: 'F1' },
      stock: 4,
      packQuantity: 1,
      priceMinor: 1890,
      currency: 'EUR',
    },
  })
export const ItemSchema = z
  .object({
    sku: Sku,
    ...ITEM,
    readFromTitle: z.array(z.string()).optional().openapi({
      description: 'Attributes that nobody stated but the title says: confirm them before they decide',
    }),
  })
  .openapi('CatalogueItem')
export const StoredItemSchema = z
  .object({ item: ItemSchema, updatedAt: z.iso.datetime(), isRetired: z.boolean(), path: z.string() })
  .openapi('StoredCatalogueItem')

export const FindingSchema = z
  .object({
    part: z.number().int().optional(),
    row: Count.openapi({ description: 'Record after the header, from 1; 0 for the header or the whole file' }),
    line: Count.openapi({ description: 'Line on which the record begins' }),
    column: z.string().openapi({ description: "The file's own name of the column, or a JSON pointer" }),
    code: z.string(),
    severity: z.enum(['error', 'warning']),
    effect: z.enum(['row-left-out', 'value-left-out', 'none']),
    message: z.string(),
    value: z.string().optional(),
    suggestion: z.string().optional(),
  })
  .openapi('ImportFinding')
const TotalsSchema = z.record(z.string(), z.number().int()).openapi({ description: 'All findings, by code' })

export const OpenImportSchema = z
  .strictObject({
    mode: z.enum(['check', 'partial', 'atomic']).optional().openapi({
      description:
        'atomic, which is also meant when it is left out: one error, and nothing is taken. partial: faulty rows and values are left out and reported. check: nothing is written',
    }),
    replace: z
      .strictObject({ maxRetiredFraction: z.number().min(0).max(1).optional() })
      .optional()
      .openapi({
        description:
          'The import is the whole catalogue: items that it does not name are retired, up to this fraction (0.2 when left out)',
      }),
    columns: z
      .record(z.string().max(120), z.string().max(60))
      .optional()
      .openapi({ description: "The shop's own column names and the columns or attributes that they are" }),
    decimalMark: z.enum(['.', ',']).optional(),
    currency: Currency.optional().openapi({ description: 'Currency of prices that name none' }),
    partClass: z.string().max(120).optional().openapi({ description: 'Part class of rows that name none' }),
    readTitles: z.boolean().optional().openapi({
      description: 'Whether attributes that no column states are read out of the title; they are unless this is false',
    }),
  })
  .openapi('OpenCatalogueImportRequest', {
    example: { mode: 'partial', decimalMark: ',', currency: 'EUR', columns: { 'Art. no.': 'sku' } },
  })
export const CommitImportSchema = z
  .strictObject({
    parts: z.number().int().min(1).max(LIMITS.importParts).optional().openapi({
      description: 'How many parts were sent; without it, parts from 1 to the highest must be there',
    }),
  })
  .openapi('CommitCatalogueImportRequest', { example: { parts: 1 } })

export const ImportSchema = z
  .object({
    id: z.string(),
    path: z.string(),
    mode: z.enum(['check', 'partial', 'atomic']),
    status: z.enum(['open', 'committed', 'checked']),
    openedAt: z.iso.datetime(),
    endedAt: z.iso.datetime().optional(),
    parts: z.array(
      z.object({ part: z.number().int(), isComplete: z.boolean(), received: Count, refused: Count, errors: Count }),
    ),
    received: Count,
    refused: Count.openapi({ description: 'Rows left out whole' }),
    totals: TotalsSchema,
    outcome: z
      .object({ inserted: Count, updated: Count, unchanged: Count, retired: Count, duplicates: Count })
      .optional()
      .openapi({ description: 'What the commit did, or for a check would do' }),
  })
  .openapi('CatalogueImport')
export const PartReportSchema = z
  .object({ part: z.number().int(), received: Count, refused: Count, errors: Count, totals: TotalsSchema })
  .openapi('CatalogueImportPart')
export const ReportSchema = z
  .object({
    totals: TotalsSchema,
    findings: z.array(FindingSchema),
    isComplete: z.boolean().openapi({ description: 'Whether every finding is listed; the first 1000 are' }),
  })
  .openapi('CatalogueImportReport')

const isTrue = z.enum(['true', 'false']).transform((text) => text === 'true')
export const FILTER = {
  partClass: z.string().max(120).optional().openapi({ description: 'Items of this part class' }),
  inStock: isTrue.optional().openapi({ description: 'Items that are in stock, or that are not' }),
  brand: z.string().max(80).optional().openapi({ description: 'Items of this brand' }),
  gtin: z.string().max(20).optional().openapi({ description: 'GTIN of 8, 12, 13 or 14 digits' }),
  retired: isTrue.optional().openapi({ description: 'Retired items in place of those in force' }),
}
export const SearchSchema = z
  .object({
    hits: z.array(
      z.object({
        item: ItemSchema,
        why: z.array(
          z.object({
            asked: z.string(),
            found: z.string().optional(),
            how: z.enum(['exact', 'beginning', 'spelling', 'missing']),
            in: z.enum(['title', 'numbers', 'others']).optional(),
          }),
        ),
      }),
    ),
    total: Count,
    isPartial: z.boolean().openapi({ description: 'No item has all words: those that have some' }),
    corrections: z.array(z.object({ asked: z.string(), meant: z.array(z.string()) })),
    facets: z.object({
      counted: Count.openapi({
        description:
          'Hits whose attributes were counted: all of them up to 5000, beyond that those of the most frequent part class',
      }),
      partClasses: z.array(z.object({ value: z.string(), count: Count })),
      attributes: z.array(
        z.object({ attribute: z.string(), values: z.array(z.object({ value: z.string(), count: Count })) }),
      ),
    }),
  })
  .openapi('CatalogueSearchAnswer')

export const SHOP_PROBLEMS = { ...READ_PROBLEMS, ...KEY_PROBLEMS, ...INPUT_PROBLEM } as const
/** What every route of the catalogue has, by the types that it offers. */
export const common = (...offered: string[]) => ({ tags: ['catalogue'], ...behindKey('catalogue', ...offered) })
