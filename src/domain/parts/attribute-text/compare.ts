import type { AttributeValue, ValueRange } from '../types.ts'
import type { ReadAttribute, ReadText, ReadValue } from './types.ts'

export type ColumnValue = AttributeValue | ValueRange | 'none'

/** The text and a typed column disagree: both are told, the column counts, nothing is settled in silence. */
export interface Conflict {
  code: 'ATTRIBUTE_CONFLICT'
  attribute: string
  inText: ReadValue | ValueRange | readonly (number | string)[]
  inColumn: ColumnValue
  /** Place in the text. */
  span: { start: number; end: number }
}

const SLACK = 1e-9
const isRange = (value: unknown): value is ValueRange => typeof value === 'object' && value !== null && 'min' in value
const isSame = (a: unknown, b: unknown): boolean =>
  typeof a === 'number' && typeof b === 'number'
    ? Math.abs(a - b) <= SLACK * Math.max(Math.abs(a), Math.abs(b))
    : a === b

function agrees({ value, range, list, candidates, certainty }: ReadAttribute, column: ColumnValue): boolean {
  if (range) return isRange(column) ? isSame(range.min, column.min) && isSame(range.max, column.max) : false
  if (isRange(column)) return false
  if (list) return list.some((one) => isSame(one, column))
  if (isSame(value, column)) return true
  return certainty === 'ambiguous' && (candidates ?? []).some((one) => isSame(one, column))
}

/**
 * Where the text of a part says another thing than its typed columns.
 *
 * @param read - what was read
 * @param columns - attributes by name, in the units of their names; "none" for what the part is said not to have
 * @returns one conflict for each attribute that both speak of and that no reading of the text makes alike
 * @validity an open reading that the column fits is no conflict: the column settles it
 * @source judgement: a typed column beats a parsed text, and a person hears of it
 * @example compareWithColumns(readAttributes('12V 7Ah'), { capacityAh: 9 })[0]!.inText // 7
 */
export function compareWithColumns(read: ReadText, columns: Readonly<Record<string, ColumnValue>>): Conflict[] {
  return read.attributes.flatMap((attribute) => {
    if (!Object.hasOwn(columns, attribute.name)) return []
    const inColumn = columns[attribute.name]!
    if (agrees(attribute, inColumn)) return []
    const inText = attribute.range ?? attribute.list ?? attribute.value!
    return [{ code: 'ATTRIBUTE_CONFLICT' as const, attribute: attribute.name, inText, inColumn, span: attribute.span }]
  })
}
