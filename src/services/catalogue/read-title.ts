import { compareWithColumns } from '../../domain/parts/attribute-text/compare.ts'
import { readAttributes } from '../../domain/parts/attribute-text/read-attributes.ts'
import type { ReadAttribute, ReadText } from '../../domain/parts/attribute-text/types.ts'
import type { Item } from '../../domain/parts/types.ts'
import type { Release } from '../../ontology/release.ts'
import type { CatalogueItem } from '../../store/catalogue/rows.ts'
import type { AttributeSpec } from './attribute-cell.ts'
import type { Cells } from './cells.ts'
import { wordOfReading } from './known-word.ts'
import { specsOf } from './read-item.ts'
import type { PartOptions } from './read-part.ts'

type Value = Item['attributes'][string]

/** The value of a reading, where it is one that the attribute can have, or the word for something else. */
function fitting(spec: AttributeSpec, reading: ReadAttribute, title: string): Value | undefined {
  const { value, range, span, certainty } = reading
  if (spec.type === 'text' && spec.values)
    return wordOfReading(spec, reading, title.slice(span.start, span.end).trim())?.value
  if (certainty === 'ambiguous') return undefined
  if (spec.type === 'number') return range ?? (typeof value === 'number' ? value : undefined)
  return typeof value === (spec.type === 'boolean' ? 'boolean' : 'string') ? value : undefined
}

function tellConflicts(cells: Cells, specs: readonly AttributeSpec[], read: ReadText, item: Item): void {
  for (const { attribute, inText, inColumn } of compareWithColumns(read, item.attributes)) {
    const spec = specs.find(({ name }) => name === attribute)
    const reading = read.attributes.find(({ name }) => name === attribute)
    if (!spec || !reading || fitting(spec, reading, item.title) === undefined) continue
    const [title, column] = [inText, inColumn].map((value) => JSON.stringify(value))
    cells.warn(attribute, 'ATTRIBUTE_CONFLICT', `the title says ${title}, the column ${column}: the column counts`)
  }
}

/**
 * An item with what its title says beside its columns: a column beats the title, and what the title leaves open stays
 * unknown and is asked.
 */
export function readTitle(release: Release, cells: Cells, item: CatalogueItem, options: PartOptions): CatalogueItem {
  const specs = specsOf(release, item.partClass)
  if (options.readTitles === false || specs.length === 0) return item
  const { partClass } = item
  const mark = options.decimalMark === undefined ? {} : { decimalMark: options.decimalMark }
  const read = readAttributes(item.title, { partClass, ...mark })
  tellConflicts(cells, specs, read, item)
  const found: Record<string, Value> = {}
  for (const reading of read.attributes) {
    const spec = specs.find(({ name }) => name === reading.name)
    if (!spec || Object.hasOwn(item.attributes, spec.name)) continue
    const value = reading.certainty === 'derived' ? undefined : fitting(spec, reading, item.title)
    if (value === undefined && reading.certainty === 'ambiguous') {
      const meanings = (reading.candidates ?? []).join(' or ')
      cells.warn(
        spec.name,
        'ATTRIBUTE_AMBIGUOUS',
        `the title may say ${meanings || 'several things'}: it stays unknown until a column states it`,
      )
      continue
    }
    if (value !== undefined) found[spec.name] = value
  }
  const names = Object.keys(found).sort()
  if (names.length === 0) return item
  return { ...item, attributes: { ...item.attributes, ...found }, readFromTitle: names }
}
