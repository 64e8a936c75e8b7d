import { DomainError } from '../errors.ts'
import { count, positive } from './guard.ts'

export interface StandardCapacity {
  capacityAh: number
  source: string
  basis: 'reported' | 'practice'
}

const reported = (capacityAh: number): StandardCapacity => ({
  capacityAh,
  source: 'list on a public exam-preparation page',
  basis: 'reported',
})
const practice = (capacityAh: number): StandardCapacity => ({
  capacityAh,
  source: 'common practice, no source',
  basis: 'practice',
})

/** Capacities met in sealed lead-acid standby batteries, 20 h rate. 7 and 7.2 Ah share one case size. */
export const STANDARD_CAPACITIES: readonly StandardCapacity[] = [
  practice(1.2),
  practice(2.2),
  reported(4),
  practice(4.5),
  practice(5),
  reported(7),
  reported(7.2),
  practice(9),
  reported(10),
  reported(12),
  practice(17),
  reported(18),
  reported(26),
  practice(33),
  reported(40),
  reported(55),
  practice(65),
]

/** Binary rounding must not push a requirement that equals a size to the next one. */
const EQUAL_WITHIN = 1e-9

/** True when a capacity [Ah] carries a requirement [Ah]; equality fits. */
export function carries(capacityAh: number, requiredAh: number): boolean {
  return capacityAh * (1 + EQUAL_WITHIN) >= requiredAh
}

/**
 * Smallest listed capacity [Ah] that is not below the requirement.
 *
 * @param requiredAh - requirement [Ah], finite and > 0
 * @param capacitiesAh - capacities to choose from [Ah], any order
 * @returns capacity [Ah], or undefined when all are too small
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity capacities stated at the same hour rate as the requirement
 * @source exam-preparation-sizes; others common-practice
 * @example nextCapacityAh(5.475, [4, 7, 7.2, 10]) // 7
 */
export function nextCapacityAh(requiredAh: number, capacitiesAh: readonly number[]): number | undefined {
  positive(requiredAh, '/requiredCapacityAh', 'Ah')
  return ascending(capacitiesAh).find((capacityAh) => carries(capacityAh, requiredAh))
}

/** The list in rising order, each finite and > 0. */
export function ascending(capacitiesAh: readonly number[]): number[] {
  capacitiesAh.forEach((capacityAh, index) => {
    positive(capacityAh, `/availableCapacitiesAh/${index}`, 'Ah')
  })
  return [...new Set(capacitiesAh)].sort((a, b) => a - b)
}

export const SYSTEM_VOLTAGES_V = [6, 12, 24] as const
export const BLOCK_VOLTAGES_V = [6, 12] as const

/**
 * Number of blocks in series that make the system voltage; series adds volts, not ampere-hours.
 *
 * seriesCount = systemVoltageV / blockVoltageV
 *
 * @param systemVoltageV - 6, 12 or 24 [V]
 * @param blockVoltageV - 6 or 12 [V]
 * @returns whole number of blocks
 * @throws DomainError QUANTITY_OUT_OF_RANGE when a voltage is not listed or the quotient is not whole
 * @validity nominal voltages of lead-acid blocks
 * @source common-practice
 * @example seriesCount(24, 12) // 2
 */
export function seriesCount(systemVoltageV: number, blockVoltageV: number): number {
  const listed = (value: number, list: readonly number[], path: string) => {
    if (list.includes(value)) return
    const limit = list.join(', ')
    throw new DomainError('QUANTITY_OUT_OF_RANGE', `${path.slice(1)} must be one of ${limit} V, got ${value} V`, {
      path,
      limit,
      value: Number.isFinite(value) ? value : String(value),
    })
  }
  listed(systemVoltageV, SYSTEM_VOLTAGES_V, '/systemVoltageV')
  listed(blockVoltageV, BLOCK_VOLTAGES_V, '/blockVoltageV')
  return count(systemVoltageV / blockVoltageV, 4, '/blockVoltageV')
}
