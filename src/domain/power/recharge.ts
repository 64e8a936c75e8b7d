import { within } from '../quantities/within.ts'

/** Share of the charge put in that can be taken out again. Common practice, no source: 0.85 to 0.95. */
export const CHARGE_EFFICIENCY_FRACTION = 0.9

/**
 * Largest battery that a charging current brings to the target within the time, in Ah.
 *
 * C = I * efficiency * T / target
 *
 * @param netCurrentA - charging current left over after the load [A], finite and >= 0
 * @param limitHours - time allowed [h]
 * @param targetFraction - state of charge to reach, for example 0.8
 * @validity constant current up to the target; a battery takes less towards the end, so this is an upper limit
 * @source en-54-4 5.3.1 asks for 80 % within 24 h (as quoted by another text); the formula follows from charge balance
 * @example largestRechargeableAh(0.35, 24, 0.8) // 9.45
 */
export function largestRechargeableAh(
  netCurrentA: number,
  limitHours: number,
  targetFraction: number,
  efficiencyFraction = CHARGE_EFFICIENCY_FRACTION,
): number {
  within(netCurrentA, '/netCurrentA', 0, Number.POSITIVE_INFINITY, 'A')
  within(limitHours, '/limitHours', 0, Number.POSITIVE_INFINITY, 'h')
  within(targetFraction, '/targetFraction', 0.01, 1, '1')
  within(efficiencyFraction, '/efficiencyFraction', 0.01, 1, '1')
  return (netCurrentA * efficiencyFraction * limitHours) / targetFraction
}

/**
 * Charging current left over when the load takes its share of the supply, in A; 0 when the load takes it all.
 *
 * I = min(chargeLimit, supply - load)
 *
 * @source follows from the sum of currents at the supply
 * @example netChargeCurrentA(1, 0.7, 0.6) // 0.4
 */
export function netChargeCurrentA(supplyCurrentA: number, chargeLimitA: number, loadCurrentA: number): number {
  return Math.max(0, Math.min(chargeLimitA, supplyCurrentA - loadCurrentA))
}
