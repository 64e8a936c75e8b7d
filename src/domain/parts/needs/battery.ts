import type { Constraint } from '../types.ts'
import type { Fact, SystemFacts } from './facts.ts'
import type { PartSpec } from './spec.ts'

const ORIGIN = 'voltage of the battery'
const demand = (value: number): Constraint => ({
  attribute: 'nominalVoltageV',
  op: 'eq',
  value,
  kind: 'hard',
  isSafety: true,
  origin: ORIGIN,
})
const isWhole = (value: number) => value >= 1 && Math.abs(value - Math.round(value)) < 1e-6

export interface Blocks {
  facts: Fact[]
  /** Pieces of one string, where voltage of battery and block tell it. */
  inSeries: number
  /** Whether how many are fitted would settle which kind of block it is. */
  asksCount: boolean
}

/**
 * How many blocks of a kind make up the voltage of a battery, and what that demands of each.
 *
 * blocks in series = voltage of the battery / voltage of the block
 *
 * @param spec - a kind of battery; its own voltage where every one of the kind has it
 * @param system - voltage of the whole battery [V] and pieces found in place
 * @param strings - equal strings in parallel
 * @returns a demand for the battery's own voltage where blocks of the kind cannot make it up
 * @source Kirchhoff's voltage law
 */
export function blocksOf(spec: PartSpec, system: SystemFacts, strings: number): Blocks {
  const { batteryVoltageV: volts, fittedCount } = system
  const attribute = spec.attributes.find(({ name }) => name === 'nominalVoltageV')
  if (volts === undefined || attribute === undefined) return { facts: [], inSeries: 1, asksCount: false }
  const fact = (value: number): Fact => ({ path: '/system/batteryVoltage', constraint: demand(value) })
  const own = attribute.fixed
  const inSeries = typeof own === 'number' ? volts / own : 1
  const isFitted = fittedCount === undefined || fittedCount === Math.round(inSeries) * strings
  if (typeof own !== 'number' || !isWhole(inSeries)) return { facts: [fact(volts)], inSeries: 1, asksCount: false }
  if (!isFitted) return { facts: [fact((volts * strings) / fittedCount!)], inSeries: 1, asksCount: false }
  return {
    facts: [fact(own)],
    inSeries: Math.round(inSeries),
    asksCount: fittedCount === undefined && spec.attributes.some(({ name }) => name === 'capacityAh'),
  }
}
