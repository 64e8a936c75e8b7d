import { written } from '../quantities/derivation.ts'
import { within } from '../quantities/within.ts'
import { largestRechargeableAh, netChargeCurrentA } from './recharge.ts'
import type { BatterySize, SizingInput } from './sizing-types.ts'
import { nextSizeAh, STANDARD_SIZES_AH } from './standard-sizes.ts'
import type { LoadProfile } from './standby-capacity.ts'

/** 80 % within 24 h: EN 54-4 5.3.1, as quoted by another text. */
const DEFAULT_RECHARGE = { hours: 24, fraction: 0.8 }

/** Largest battery that the case and the charger allow; undefined when nothing limits it. */
export function largestAllowed({ limits, duty }: SizingInput, load: LoadProfile): number | undefined {
  if (!limits) return undefined
  const allowed: number[] = []
  if (limits.maximumCapacityAh !== undefined)
    allowed.push(within(limits.maximumCapacityAh, '/limits/maximumCapacity', 0.1, 10_000, 'Ah'))
  if (limits.chargeLimitA !== undefined) {
    within(limits.chargeLimitA, '/limits/chargeLimit', 0, 1000, 'A')
    const net = netChargeCurrentA(
      limits.supplyCurrentA ?? Number.POSITIVE_INFINITY,
      limits.chargeLimitA,
      load.standbyCurrentA,
    )
    const hours = within(
      limits.rechargeHours ?? duty?.rechargeHours ?? DEFAULT_RECHARGE.hours,
      '/limits/rechargeDuration',
      0.1,
      1000,
      'h',
    )
    allowed.push(largestRechargeableAh(net, hours, limits.rechargeFraction ?? DEFAULT_RECHARGE.fraction))
  }
  return allowed.length > 0 ? Math.min(...allowed) : undefined
}

/** The next standard size, singly or as two equal ones in parallel, or why none will do. */
export function recommend(
  input: SizingInput,
  required: number,
  allowed: number | undefined,
): Pick<BatterySize, 'recommended' | 'noneBecause'> {
  const sizes = input.sizesAh ?? STANDARD_SIZES_AH
  const single = nextSizeAh(required, sizes)
  const size = single ?? nextSizeAh(required / 2, sizes)
  const inParallel = single === undefined ? 2 : 1
  if (size === undefined)
    return {
      noneBecause: `No standard size reaches ${written(required)} Ah, not even two in parallel: lower the load or the hours.`,
    }
  if (allowed !== undefined && size * inParallel > allowed * (1 + 1e-12))
    return {
      noneBecause: `${written(size * inParallel)} Ah is needed, but the case and the charger allow at most ${written(allowed)} Ah: lower the load or the hours, or have a larger supply fitted.`,
    }
  const blockVoltageV = input.nominalVoltageV === 6 ? 6 : 12
  return {
    recommended: { capacityAh: size, blockVoltageV, inSeries: input.nominalVoltageV / blockVoltageV, inParallel },
  }
}
