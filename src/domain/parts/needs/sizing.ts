import { largestRechargeableAh } from '../../power/recharge.ts'
import { written } from '../../quantities/derivation.ts'
import { within } from '../../quantities/within.ts'
import type { Constraint } from '../types.ts'
import type { Fact } from './facts.ts'

/** What a sizing and the labels say of the capacity of the whole battery. */
export interface SizingFacts {
  requiredCapacityAh?: number
  /** Largest capacity by the charger's and the case's own labels [Ah]. */
  chargerLimitAh?: number
  caseLimitAh?: number
  /** Current left for charging beside the load [A], and the recharge it must manage. */
  chargeCurrentA?: number
  rechargeHours?: number
  rechargeFraction?: number
  /** Equal strings side by side. */
  inParallel?: number
}

/** 80 % within 24 h: EN 54-4 5.3.1, as quoted by another text. */
const RECHARGE = { hours: 24, fraction: 0.8 }
const MAX_AH = 10_000

/** Whole strings share what is required and what is allowed. */
function capacity(op: 'min' | 'max', ampereHours: number, strings: number, origin: string): Constraint {
  const share = strings === 1 ? '' : `, shared by ${strings} in parallel`
  const value = Number((ampereHours / strings).toPrecision(12))
  return { attribute: 'capacityAh', op, value, kind: 'hard', isSafety: false, origin: `${origin}${share}` }
}

function rechargeable({ chargeCurrentA, rechargeHours, rechargeFraction }: SizingFacts): [number, string] | undefined {
  if (chargeCurrentA === undefined) return undefined
  within(chargeCurrentA, '/sizing/chargeCurrent', 0, 1000, 'A')
  const hours = within(rechargeHours ?? RECHARGE.hours, '/sizing/rechargeDuration', 0.1, 1000, 'h')
  const fraction = within(rechargeFraction ?? RECHARGE.fraction, '/sizing/rechargeFraction', 0.1, 1, '1')
  const limit = largestRechargeableAh(chargeCurrentA, hours, fraction)
  return [
    limit,
    `${written(chargeCurrentA)} A of charging current recharge ${written(fraction * 100)} % of it in ${written(hours)} h`,
  ]
}

/**
 * What sizing and charger demand of the capacity of one block [Ah].
 *
 * @param sizing - required capacity from a sizing, limits of charger and case, charging current [A]
 * @returns lower bound from the sizing, upper bounds from charger and case, each with its origin
 * @throws DomainError QUANTITY_OUT_OF_RANGE with a pointer into the input
 * @validity lead-acid standby batteries; charging current constant up to the target, so the limit is an upper one
 * @source en-54-4 5.3.1 for the recharge where none is given; charge balance
 */
export function sizingFacts(sizing: SizingFacts): Fact[] {
  const strings = sizing.inParallel ?? 1
  const ampereHours = (value: number, field: string) => within(value, `/sizing/${field}`, 0, MAX_AH, 'Ah')
  const facts: Fact[] = []
  const add = (path: string, constraint: Constraint) => facts.push({ path: `/sizing/${path}`, constraint })
  const { requiredCapacityAh, chargerLimitAh, caseLimitAh } = sizing
  if (requiredCapacityAh !== undefined)
    add('requiredCapacity', capacity('min', ampereHours(requiredCapacityAh, 'requiredCapacity'), strings, 'the sizing'))
  if (chargerLimitAh !== undefined)
    add(
      'chargerLimit',
      capacity('max', ampereHours(chargerLimitAh, 'chargerLimit'), strings, 'the largest that the charger may charge'),
    )
  if (caseLimitAh !== undefined)
    add(
      'caseLimit',
      capacity('max', ampereHours(caseLimitAh, 'caseLimit'), strings, 'the largest that the case may hold'),
    )
  const limit = rechargeable(sizing)
  if (limit) add('chargeCurrent', capacity('max', limit[0], strings, limit[1]))
  return facts
}
