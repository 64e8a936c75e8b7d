import { designationsOf, foldName, otherNames } from './names.ts'
import { envelopeOf, isNumbered } from './sizes.ts'
import { SYSTEMS } from './systems.ts'

export interface DecodedDesignation {
  designation: string
  /** How it was read: by a rule of the standard, by a row of a table, or as a size without chemistry. */
  how: 'systematic' | 'table-row' | 'geometry-only'
  /** The name given, where it was a name for the designation. */
  resolvedFrom?: string
  cells?: number
  parallelGroups?: number
  system?: string
  chemistry?: string
  rechargeable?: boolean
  shape?: 'round' | 'prismatic' | 'prismatic-battery-of-round-cells' | 'flat-cells' | 'round-battery-of-round-cells'
  nominalVoltageV?: number
  diameterMm?: number
  heightMm?: number
  lengthMm?: number
  widthMm?: number
  /** Of each cell of a battery of several: the digits never give the outside of the battery. */
  cellDiameterMm?: number
  cellHeightMm?: number
  aliases: readonly string[]
  needsConfirmation: readonly string[]
}
export type Decoded =
  | ({ kind: 'decoded' } & DecodedDesignation)
  /** A size name that several designations share. */
  | { kind: 'several'; name: string; designations: readonly string[] }
  | { kind: 'undecodable'; text: string }

const CELLS_OF_ONE_SIZE = { shape: 'prismatic', system: 'C', cells: 2 } as const

/** Names of IEC 60086-2 that follow no rule, and the outside of batteries of several cells; all from memory [mm]. */
const ROWS: ReadonlyMap<string, Partial<DecodedDesignation>> = new Map<string, Partial<DecodedDesignation>>([
  ['CRP2', { designation: 'CR-P2', ...CELLS_OF_ONE_SIZE, lengthMm: 35, widthMm: 19.5, heightMm: 36 }],
  ['2CR5', { designation: '2CR5', ...CELLS_OF_ONE_SIZE }],
])
const OUTSIDES: ReadonlyMap<string, Partial<DecodedDesignation>> = new Map<string, Partial<DecodedDesignation>>([
  ['6LR61', { shape: 'prismatic-battery-of-round-cells', lengthMm: 26.5, widthMm: 17.5, heightMm: 48.5 }],
  ['8LR932', { shape: 'round-battery-of-round-cells', diameterMm: 10.3, heightMm: 28.5 }],
])

const FORM = /^(\d{0,2})(IC|PB|[BCEFGHKLPSZ]?)([RF])(\d{1,5}|\d{1,2}[A-Z]\d{2,3})([A-Z]{0,2})(?:-(\d))?$/
const DIGITS_ONLY = /^([1-9]\d)([1-9]\d)0$/

function electrical(system: string, cells: number): Partial<DecodedDesignation> {
  const { chemistry, nominalVoltageV, rechargeable } = SYSTEMS.get(system)!
  const volts = Number((cells * nominalVoltageV).toPrecision(12))
  return { cells, system, chemistry, rechargeable, nominalVoltageV: volts }
}

function measures(cells: number, size: string): Partial<DecodedDesignation> | undefined {
  const envelope = envelopeOf(size)
  if (cells === 1) return envelope ?? (isNumbered(size) ? {} : undefined)
  return envelope === undefined ? {} : { cellDiameterMm: envelope.diameterMm, cellHeightMm: envelope.heightMm }
}

/** Doubts that the designation leaves: dimensions that no table here holds. */
function unsettled({ shape, diameterMm, lengthMm }: Partial<DecodedDesignation>): string[] {
  return diameterMm !== undefined || lengthMm !== undefined || shape === 'flat-cells' ? [] : ['dimensions']
}

/** A designation built by the rules of IEC 60086-1. */
function systematic(text: string): DecodedDesignation | undefined {
  const [, count, system, shape, size, , groups] = FORM.exec(text) ?? []
  if (size === undefined || system === undefined) return undefined
  const cells = Number(count || '1')
  const found = shape === 'R' ? measures(cells, size) : {}
  if (cells === 0 || found === undefined) return undefined
  const decoded = {
    designation: text,
    how: 'systematic' as const,
    ...electrical(system, cells),
    ...(shape === 'F' ? { shape: 'flat-cells' as const } : cells === 1 ? { shape: 'round' as const } : {}),
    ...found,
    ...OUTSIDES.get(text),
    ...(groups === undefined ? {} : { parallelGroups: Number(groups) }),
    aliases: otherNames(text),
  }
  return { ...decoded, needsConfirmation: unsettled(decoded) }
}

/** A row of a table for what follows no rule. */
function tableRow(text: string): DecodedDesignation | undefined {
  const row = ROWS.get(foldName(text))
  if (row?.designation === undefined) return undefined
  const decoded = { ...row, ...electrical(row.system!, row.cells!), designation: row.designation }
  return { ...decoded, how: 'table-row', aliases: otherNames(row.designation), needsConfirmation: unsettled(decoded) }
}

/** Two digits of diameter, two of height, a nought for "round": says nothing of chemistry and voltage. */
function digitsOnly(text: string): DecodedDesignation | undefined {
  const [, diameter, height] = DIGITS_ONLY.exec(text) ?? []
  if (diameter === undefined) return undefined
  return {
    designation: text,
    how: 'geometry-only',
    shape: 'round',
    diameterMm: Number(diameter),
    heightMm: Number(height),
    aliases: [],
    needsConfirmation: ['chemistry', 'nominalVoltageV'],
  }
}

const decodeOne = (text: string): DecodedDesignation | undefined =>
  tableRow(text) ?? systematic(text) ?? digitsOnly(text)

/**
 * What the designation or name of a battery says: names first, then the rules of the standard, then bare digits.
 *
 * voltage = cells in series x nominal voltage of the system; parallel groups change the capacity only
 *
 * @param text - such as LR6, 4LR25-2, CR123A, 18650
 * @returns decoded; several designations where a size name leaves the system open; undecodable with the text kept
 * @validity dimensions are the largest of the envelope; those of a battery of several cells come from a table or are
 *   unknown, never from the digits
 * @source iec-60086-1 order of the parts through linden-4 table 4.3b (read); systems by the industry body's list (read)
 * @example decodeDesignation('4LR25-2').nominalVoltageV // 6
 */
export function decodeDesignation(text: string): Decoded {
  const name = text.slice(0, 40).trim()
  const designations = designationsOf(name)
  if (designations.length > 1) return { kind: 'several', name, designations }
  const only = designations[0]
  const folded = name.toUpperCase().replace(/\s/g, '')
  const decoded = decodeOne(only ?? folded)
  if (!decoded) return { kind: 'undecodable', text }
  return { kind: 'decoded', ...decoded, ...(only === undefined ? {} : { resolvedFrom: name }) }
}
