import { given } from '../../domain/given.ts'
import { type GtinFault, readGtin } from '../../domain/parts/gtin.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Release } from '../../ontology/release.ts'
import type { PartClass } from '../../ontology/shape.ts'
import { readAttribute, readFlag } from './attribute-cell.ts'
import type { Cells } from './cells.ts'
import { isOfEveryItem } from './columns.ts'
import type { DecimalMark } from './numbers.ts'
import { readPrice } from './price-cell.ts'

/** How the rows of a file are to be read. */
export interface ReadOptions {
  decimalMark?: DecimalMark | undefined
  /** Currency of prices that name none. */
  currency?: string | undefined
  /** Part class of rows that name none. */
  partClass?: string | undefined
}

const LONGEST = { sku: 80, title: 200, part_class: 120, mpn: 80, brand: 80, successor_sku: 80 }
const CONTROL = /[\p{Cc}\p{Cs}]/u

function nameOf(cells: Cells, column: keyof typeof LONGEST): string | undefined {
  const text = cells.text(column)
  if (text === '') return undefined
  if (text.length > LONGEST[column] || CONTROL.test(text.replace(/\s/g, ' ')))
    return cells.refuse(
      column,
      'TEXT_TOO_LONG',
      `must be at most ${LONGEST[column]} characters, none of them a control character`,
    )
  return text
}

/** A whole number of at least `least`; undefined when the cell is empty or faulty. */
function whole(cells: Cells, column: string, least: number): number | undefined {
  const text = cells.text(column)
  if (text === '') return undefined
  if (/^\d{1,9}$/.test(text) && Number(text) >= least) return Number(text)
  return cells.drop(column, 'NUMBER_INVALID', `must be a whole number of at least ${least}`)
}

function flag(cells: Cells, column: string): boolean | undefined {
  const cell = cells.get(column)
  if (cell === undefined) return undefined
  return readFlag(cell) ?? cells.drop(column, 'VALUE_UNKNOWN', 'must be true or false')
}

function dayOf(cells: Cells): string | undefined {
  const text = cells.text('made_on')
  if (text === '') return undefined
  const time = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : Number.NaN
  // A day that the month has not would come back as another one.
  if (Number.isFinite(time) && new Date(time).toISOString().startsWith(text)) return text
  return cells.drop('made_on', 'DATE_INVALID', 'must be a day such as 2026-03-31')
}

const GTIN_FAULTS: Record<Exclude<GtinFault, 'GTIN_ABSENT'>, string> = {
  GTIN_SCIENTIFIC_NOTATION: 'has lost digits in a spreadsheet: export the column as text',
  GTIN_LENGTH: 'must have 8, 12, 13 or 14 digits; a spreadsheet may have taken leading noughts away',
  GTIN_CHECK_DIGIT: 'has a check digit that does not fit its other digits',
  GTIN_RESTRICTED: 'is of a range that is no key outside one shop, or for demonstrations',
}

/** A number that is faulty is left out, never repaired: it would name another product. */
function gtinOf(cells: Cells): string | undefined {
  const { code, gtin14 } = readGtin(cells.text('gtin'))
  if (code === undefined || code === 'GTIN_ABSENT') return gtin14
  return cells.warn('gtin', code, GTIN_FAULTS[code], 'value-left-out')
}

/** Pieces in stock; a feed that only says that there are none says as much as a zero. */
function stockOf(cells: Cells): number | undefined {
  const stock = whole(cells, 'stock', 0)
  if (stock !== undefined || cells.get('stock') !== undefined) return stock
  return /^out[_ ]of[_ ]stock$/i.test(cells.text('availability')) ? 0 : undefined
}

function attributesOf(
  cells: Cells,
  partClass: string,
  specs: PartClass['attributes'],
  mark?: DecimalMark,
): Item['attributes'] {
  const attributes: Record<string, Item['attributes'][string]> = {}
  for (const spec of specs) {
    const value = readAttribute(cells, spec, partClass, mark)
    if (value !== undefined) attributes[spec.name] = value
  }
  return attributes
}

/** Tells of values that the part class has no attribute for, so that none is lost in silence. */
function tellUnread(cells: Cells, partClass: string, specs: PartClass['attributes']): void {
  if (specs.length === 0) return
  const own = new Set(specs.map(({ name }) => name))
  for (const name of cells.columns())
    if (name !== '' && !own.has(name) && !isOfEveryItem(name) && cells.get(name) !== undefined)
      cells.warn(name, 'ATTRIBUTE_OF_OTHERS', `${partClass} has no such attribute: it is not read`, 'value-left-out')
}

/** Attributes of a part class; none for what is no part class. */
export const specsOf = (release: Release, partClass: string): PartClass['attributes'] => {
  const found = release.concepts.get(partClass)
  return found?.kind === 'part-class' ? (found.concept as PartClass).attributes : []
}

function partClassOf(release: Release, cells: Cells, byDefault = ''): string {
  const partClass = nameOf(cells, 'part_class') ?? byDefault
  if (specsOf(release, partClass).length === 0)
    cells.warn(
      'part_class',
      'PART_CLASS_UNKNOWN',
      `is no part class of release ${release.version}: the item is found by its words alone`,
    )
  return partClass
}

/** A record as an item; what is wrong with it is noted in its cells, and whatever is faulty stays unknown. */
export function readItem(release: Release, cells: Cells, options: ReadOptions): Item {
  const sku = nameOf(cells, 'sku') ?? ''
  if (cells.text('sku') === '') cells.refuse('sku', 'SKU_MISSING', 'must not be empty')
  const title = nameOf(cells, 'title') ?? ''
  if (cells.text('title') === '') cells.refuse('title', 'TITLE_MISSING', 'must not be empty')
  const partClass = partClassOf(release, cells, options.partClass)
  tellUnread(cells, partClass, specsOf(release, partClass))
  return {
    sku,
    title,
    partClass,
    attributes: attributesOf(cells, partClass, specsOf(release, partClass), options.decimalMark),
    ...readPrice(cells, options.currency, options.decimalMark),
    ...given({
      stock: stockOf(cells),
      packQuantity: whole(cells, 'pack_quantity', 1),
      gtin14: gtinOf(cells),
      mpn: nameOf(cells, 'mpn'),
      brand: nameOf(cells, 'brand'),
      madeOn: dayOf(cells),
      isDiscontinued: flag(cells, 'is_discontinued'),
      successorSku: nameOf(cells, 'successor_sku'),
      needsInstaller: flag(cells, 'needs_installer'),
      needsActivation: flag(cells, 'needs_activation'),
    }),
  }
}
