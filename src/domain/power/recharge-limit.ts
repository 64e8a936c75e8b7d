import { atLeast, fraction, positive } from './guard.ts'

/** Share of charge to be restored within the limit: EN 54-4 5.3.1 (quoted in a secondary text), EN 50131-1 (memory). */
export const RECHARGE_TARGET_FRACTION = 0.8
/** Low end of the 0.85 to 0.95 usual for lead-acid; common practice, no source. */
export const CHARGE_EFFICIENCY_FRACTION = 0.85

export interface RechargeDemand {
  limitHours: number
  targetFraction?: number
  chargeEfficiencyFraction?: number
}

function hoursPerAmpere(demand: RechargeDemand): number {
  const target = fraction(demand.targetFraction ?? RECHARGE_TARGET_FRACTION, '/targetFraction')
  const efficiency = fraction(
    demand.chargeEfficiencyFraction ?? CHARGE_EFFICIENCY_FRACTION,
    '/chargeEfficiencyFraction',
  )
  return (efficiency * positive(demand.limitHours, '/rechargeLimitHours', 'h')) / target
}

/**
 * Charging current [A] that restores a battery to the target within the limit.
 *
 * current = targetFraction * capacityAh / (chargeEfficiencyFraction * limitHours)
 *
 * @param capacityAh - rated capacity [Ah], finite and >= 0
 * @param demand - limit [h], target and efficiency as fractions
 * @returns net charging current [A], after the load has taken its share
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity constant current up to the target; a taper before it takes longer
 * @source own-derivation; limits en-54-4, en-50131-1
 * @example chargeCurrentNeededA(7, { limitHours: 24, targetFraction: 0.6, chargeEfficiencyFraction: 1 }) // 0.175
 */
export function chargeCurrentNeededA(capacityAh: number, demand: RechargeDemand): number {
  return atLeast(capacityAh, 0, '/capacityAh', 'Ah') / hoursPerAmpere(demand)
}

/**
 * Largest battery [Ah] that a net charging current restores to the target within the limit.
 *
 * capacity = current * chargeEfficiencyFraction * limitHours / targetFraction
 *
 * @param netCurrentA - charging current left after the load [A], finite and >= 0
 * @param demand - limit [h], target and efficiency as fractions
 * @returns rated capacity [Ah]
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity as chargeCurrentNeededA
 * @source own-derivation
 * @example largestRechargedCapacityAh(0.5, { limitHours: 24, targetFraction: 0.5, chargeEfficiencyFraction: 1 }) // 24
 */
export function largestRechargedCapacityAh(netCurrentA: number, demand: RechargeDemand): number {
  return atLeast(netCurrentA, 0, '/chargerCurrentA', 'A') * hoursPerAmpere(demand)
}

/**
 * Current [A] left to charge while the load runs; zero when the load takes all of it.
 *
 * net = max(0, min(chargeLimitA, supplyCurrentA - loadCurrentA)); without a supply figure the charger limit itself
 *
 * @param chargeLimitA - current limit of the charger [A]
 * @param loadCurrentA - load with mains present [A]
 * @param supplyCurrentA - what the supply gives to load and charger together [A], when known
 * @returns net current [A]
 * @throws DomainError QUANTITY_OUT_OF_RANGE
 * @validity steady load; at zero the battery may discharge with mains present
 * @source own-derivation
 * @example netChargeCurrentA(0.7, 1.1, 1) // 0
 */
export function netChargeCurrentA(chargeLimitA: number, loadCurrentA: number, supplyCurrentA?: number): number {
  atLeast(chargeLimitA, 0, '/chargerCurrentA', 'A')
  if (supplyCurrentA === undefined) return chargeLimitA
  return Math.max(0, Math.min(chargeLimitA, atLeast(supplyCurrentA, 0, '/supplyCurrentA', 'A') - loadCurrentA))
}
