import { refuseTogether, within } from '../../quantities/within.ts'
import type { Constraint, ValueRange } from '../types.ts'
import type { FitRule } from './spec.ts'

/** What is known of the system the part goes into; every field is optional because nobody knows everything. */
export interface SystemFacts {
  /** Voltage of the whole standby battery [V]. */
  batteryVoltageV?: number
  /** Blocks or cells found in place. */
  fittedCount?: number
  /** What the panel asks of its supply. */
  supplyOutputV?: number
  supplyKind?: 'ac' | 'dc'
  supplyPowerVA?: number
  /** What the building has. */
  mainsVoltageV?: number
  /** Lowest and highest voltage at the device [V]. */
  deviceSupplyV?: ValueRange
  /** Current that a supply has to give, and the most that an output may give [A]. */
  loadCurrentA?: number
  outputLimitA?: number
  /** Room for the part [mm], height with plug and wire bend. */
  bayLengthMm?: number
  bayWidthMm?: number
  bayHeightMm?: number
  /** Tabs or screws that the leads fit. */
  terminals?: readonly string[]
  endOfLineOhm?: number
  endOfLineToleranceFraction?: number
  familyKey?: string
  bandMHz?: number
  /** Whether the holder charges what is in it. */
  slotCharges?: boolean
}

/** One known thing that bears on an attribute. */
export interface Fact {
  /** Field it comes from. */
  path: string
  constraint: Constraint
  /** Rules of the attribute for which it counts; any when left out. */
  rules?: readonly FitRule[]
}

const hard = (attribute: string, op: Constraint['op'], value: Constraint['value'], origin: string, to?: number) => ({
  attribute,
  op,
  value,
  ...(to === undefined ? {} : { to }),
  kind: 'hard' as const,
  isSafety: false,
  origin,
})

type Row<K extends keyof SystemFacts> = (value: NonNullable<SystemFacts[K]>) => Omit<Fact, 'path'>[]
const one = (constraint: Constraint, ...rules: FitRule[]): Omit<Fact, 'path'>[] => [
  rules.length > 0 ? { constraint, rules } : { constraint },
]

/** Field of the system -> what it demands of which attribute. Voltage and number of a battery are worked out apart. */
const ROWS: { [K in Exclude<keyof SystemFacts, 'batteryVoltageV' | 'fittedCount'>]-?: Row<K> } = {
  supplyOutputV: (volts) => one(hard('outputVoltageV', 'eq', volts, 'the voltage that the panel asks for')),
  supplyKind: (kind) => one(hard('voltageKind', 'eq', kind, 'AC or DC, as the panel asks for')),
  supplyPowerVA: (power) => one(hard('apparentPowerVA', 'min', power, 'the power that the panel asks for'), 'at-least'),
  mainsVoltageV: (volts) => one(hard('inputVoltageV', 'covers', volts, 'the voltage of the building')),
  deviceSupplyV: ({ min, max }) =>
    one(hard('supplyVoltageV', 'covers', min, 'lowest and highest voltage at the device', max)),
  loadCurrentA: (amperes) =>
    one(hard('currentA', 'min', amperes, 'the current that everything on it draws'), 'at-least'),
  outputLimitA: (amperes) => one(hard('currentA', 'max', amperes, 'the most that the output may give'), 'at-most'),
  bayLengthMm: (length) => one(hard('lengthMm', 'max', length, 'room in the case'), 'at-most'),
  bayWidthMm: (width) => one(hard('widthMm', 'max', width, 'room in the case'), 'at-most'),
  bayHeightMm: (height) => one(hard('heightMm', 'max', height, 'room in the case, with plugs'), 'at-most'),
  terminals: (list) =>
    ['terminal', 'leadSocket'].flatMap((name) => one(hard(name, 'in', list, 'what the leads end in'))),
  endOfLineOhm: (ohms) => one(hard('resistanceOhm', 'eq', ohms, 'the value that the equipment is set to')),
  endOfLineToleranceFraction: (fraction) =>
    one(hard('toleranceFraction', 'max', fraction, 'the tolerance that the equipment asks for'), 'at-most'),
  familyKey: (key) => one(hard('familyKey', 'eq', key, 'the product family of the system')),
  bandMHz: (megahertz) => one(hard('bandMHz', 'eq', megahertz, 'the radio band of the system')),
  slotCharges: (doesCharge) =>
    doesCharge ? one(hard('rechargeable', 'eq', true, 'the holder charges what is in it')) : [],
}

/** Field of the system -> where the caller stated it, its unit and the largest value that is no slip of the pen. */
const STATED: Record<keyof SystemFacts, readonly [pointer: string, unit: string, largest: number]> = {
  batteryVoltageV: ['/system/batteryVoltage', 'V', 1000],
  fittedCount: ['/system/fittedCount', 'pieces', 1000],
  supplyOutputV: ['/system/supplyOutput', 'V', 1000],
  supplyKind: ['/system/supplyKind', '', 0],
  supplyPowerVA: ['/system/supplyPower', 'V.A', 100_000],
  mainsVoltageV: ['/system/mainsVoltage', 'V', 1000],
  deviceSupplyV: ['/system/deviceSupply', 'V', 1000],
  loadCurrentA: ['/system/loadCurrent', 'A', 1000],
  outputLimitA: ['/system/outputLimit', 'A', 1000],
  bayLengthMm: ['/system/bay/length', 'mm', 100_000],
  bayWidthMm: ['/system/bay/width', 'mm', 100_000],
  bayHeightMm: ['/system/bay/height', 'mm', 100_000],
  terminals: ['/system/terminals', '', 0],
  endOfLineOhm: ['/system/endOfLine/resistance', 'Ohm', 1e9],
  endOfLineToleranceFraction: ['/system/endOfLine/toleranceFraction', '1', 1],
  familyKey: ['/system/familyKey', '', 0],
  bandMHz: ['/system/band', 'MHz', 1_000_000],
  slotCharges: ['/system/slotCharges', '', 0],
}
const numbersIn = (value: unknown): number[] => {
  if (typeof value === 'number') return [value]
  return typeof value === 'object' && value !== null && 'min' in value ? Object.values(value).map(Number) : []
}

/**
 * Refuses every number of the system that is none or out of bounds.
 * @throws DomainError QUANTITY_OUT_OF_RANGE the first refusal, with the others in `also`
 */
export function checkSystem(system: SystemFacts): void {
  const checks = Object.entries(system).flatMap(([name, value]) => {
    const [pointer, unit, largest] = STATED[name as keyof SystemFacts]
    return numbersIn(value).map((one) => () => within(one, pointer, 0, largest, unit))
  })
  refuseTogether(checks)
}

/** The longer side of a case is its length, whichever way it was measured. */
function longerFirst(system: SystemFacts): SystemFacts {
  const { bayLengthMm: length, bayWidthMm: width } = system
  return length !== undefined && width !== undefined && width > length
    ? { ...system, bayLengthMm: width, bayWidthMm: length }
    : system
}

/** What the facts of the system demand, in the order of the table. */
export function systemFacts(given: SystemFacts): Fact[] {
  const system = longerFirst(given)
  return (Object.keys(ROWS) as (keyof typeof ROWS)[]).flatMap((name) => {
    const value = system[name]
    if (value === undefined) return []
    return (ROWS[name] as Row<typeof name>)(value as never).map((fact) => ({ path: STATED[name][0], ...fact }))
  })
}
