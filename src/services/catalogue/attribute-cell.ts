import { DomainError } from '../../domain/errors.ts'
import { readAttributes } from '../../domain/parts/attribute-text/read-attributes.ts'
import type { Item, ValueRange } from '../../domain/parts/types.ts'
import { toUnit } from '../../domain/quantities/convert.ts'
import type { PartClass } from '../../ontology/shape.ts'
import type { Cells, Measured } from './cells.ts'
import { knownWord } from './known-word.ts'
import { type DecimalMark, readNumber } from './numbers.ts'

export type AttributeSpec = PartClass['attributes'][number]
type Value = Item['attributes'][string] | undefined

const NUMBER_AND_UNIT = /^(-?[\d.,]+(?:e[+-]?\d+)?)\s*([^\d\s].*)?$/i
const RANGE = /^(-?[\d,]+(?:\.[\d,]+)?(?:e[+-]?\d+)?)\s*\.\.\s*(-?[\d.,]+(?:e[+-]?\d+)?)\s*([^\d\s].*)?$/i
/** Levels and temperatures alone go below zero. */
const MAY_BE_NEGATIVE = new Set(['dB', 'dBm', 'Cel'])

function inUnit(cells: Cells, { name, unit }: AttributeSpec, value: number, written: string | undefined): Value {
  const spelling = written?.trim()
  if (spelling === undefined || spelling === unit) return value
  if (spelling === '%' && unit === undefined) return value / 100
  try {
    return toUnit({ value, unit: spelling }, unit ?? '1')
  } catch (error) {
    if (!(error instanceof DomainError)) throw error
    return cells.drop(
      name,
      'UNIT_UNKNOWN',
      `must be a number${unit ? ` in ${unit}` : ' without a unit'}, got the unit ${spelling}`,
    )
  }
}

function oneNumber(
  cells: Cells,
  spec: AttributeSpec,
  text: string,
  unit: string | undefined,
  mark?: DecimalMark,
): Value {
  const read = readNumber(text, mark)
  if (read === undefined)
    return cells.drop(
      spec.name,
      'NUMBER_INVALID',
      `must be a number${spec.unit ? ` in ${spec.unit}` : ''}, or a range such as 10.5..14`,
    )
  if ('either' in read) {
    const [whole, decimal] = read.either
    return cells.drop(
      spec.name,
      'NUMBER_AMBIGUOUS',
      `may mean ${whole} or ${decimal}: state the decimal mark of the file, or write ${whole} or ${decimal}0`,
      whole,
    )
  }
  return inUnit(cells, spec, read.number, unit)
}

function within(cells: Cells, { name, unit }: AttributeSpec, value: Value): Value {
  const lowest = typeof value === 'object' ? value.min : value
  const isNegative = typeof lowest === 'number' && lowest < 0 && !MAY_BE_NEGATIVE.has(unit ?? '')
  return isNegative ? cells.drop(name, 'QUANTITY_OUT_OF_RANGE', `must not be negative, got ${lowest}`) : value
}

function numberOf(cells: Cells, spec: AttributeSpec, text: string, mark?: DecimalMark): Value {
  const range = RANGE.exec(text)
  if (range) {
    const [min, max] = [
      oneNumber(cells, spec, range[1]!, range[3], mark),
      oneNumber(cells, spec, range[2]!, range[3], mark),
    ]
    if (typeof min !== 'number' || typeof max !== 'number') return undefined
    return min <= max
      ? { min, max }
      : cells.drop(spec.name, 'NUMBER_INVALID', `must begin with its lower end, got ${text}`)
  }
  const [, digits = text, unit] = NUMBER_AND_UNIT.exec(text) ?? []
  return oneNumber(cells, spec, digits, unit, mark)
}

function measured(cells: Cells, spec: AttributeSpec, cell: ValueRange | Measured): Value {
  const unit = 'unit' in cell ? cell.unit : undefined
  if ('value' in cell) return inUnit(cells, spec, cell.value, unit)
  const [min, max] = [inUnit(cells, spec, cell.min, unit), inUnit(cells, spec, cell.max, unit)]
  return typeof min === 'number' && typeof max === 'number' ? { min, max } : undefined
}

const YES = /^(?:true|yes|y|1)$/i
const NO = /^(?:false|no|n|0)$/i

/** A yes or a no as people write it; undefined for anything else. */
export function readFlag(cell: unknown): boolean | undefined {
  const text = String(cell)
  return YES.test(text) ? true : NO.test(text) ? false : undefined
}

function wordOf(cells: Cells, spec: AttributeSpec, text: string, partClass: string): Value {
  const { name, values } = spec
  if (!values) return text
  const known = knownWord(spec, partClass, text)
  if (!known) return cells.drop(name, 'VALUE_UNKNOWN', `must be one of ${values.join(', ')}`)
  if (!known.isListed)
    cells.warn(
      name,
      'VALUE_UNKNOWN',
      `${known.value} is kept, but this part class is for ${values.join(', ')}: the item fits nothing that asks for these`,
    )
  return known.value
}

/** A resistance as it is marked: 4k7, 2K2, 470R. */
function markedResistance(spec: AttributeSpec, text: string, partClass: string): number | undefined {
  if (spec.unit !== 'Ohm') return undefined
  const [reading, ...more] = readAttributes(text, { partClass }).attributes
  const isMark = reading?.rule === 'letter-code' && reading.name === spec.name && more.length === 0
  return isMark && reading.certainty === 'stated' ? Number(reading.value) : undefined
}

/** A cell read as its attribute's type; "none" says that the part has it not. */
export function readAttribute(cells: Cells, spec: AttributeSpec, partClass: string, mark?: DecimalMark): Value {
  const cell = cells.get(spec.name)
  if (cell === undefined || cell === 'none') return cell
  if (spec.type === 'boolean') return readFlag(cell) ?? cells.drop(spec.name, 'VALUE_UNKNOWN', 'must be true or false')
  if (spec.type === 'text') return wordOf(cells, spec, cells.text(spec.name) || JSON.stringify(cell), partClass)
  if (typeof cell === 'object') return within(cells, spec, measured(cells, spec, cell))
  if (typeof cell === 'number') return within(cells, spec, cell)
  return (
    markedResistance(spec, String(cell), partClass) ?? within(cells, spec, numberOf(cells, spec, String(cell), mark))
  )
}
