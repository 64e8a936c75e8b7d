import { type Warning, warningsWhere } from '../quantities/derivation.ts'
import { endVoltageAtDuration } from './rate-table.ts'
import type { BatteryRuntimeInput } from './runtime-types.ts'

/** Above this a small battery's exponent is likelier to be of an old or vented one. */
const USUAL_EXPONENT = 1.6
/** From here on shelf loss takes a share that the models leave out. Judgement. */
const SHELF_LOSS_FROM_HOURS = 1000

/** End of discharge at the standby current [V]; undefined beyond the rate table. */
export const endVoltageOf = ({ ratedCapacityAh, standbyCurrentA, nominalVoltageV = 12 }: BatteryRuntimeInput) => {
  const twelve = endVoltageAtDuration(ratedCapacityAh / standbyCurrentA)
  return twelve === undefined ? undefined : (twelve * nominalVoltageV) / 12
}

export function warningsOf(input: BatteryRuntimeInput): Warning[] {
  const { alarm, standbyCurrentA, ratedCapacityAh } = input
  const largest = Math.max(standbyCurrentA, alarm?.currentA ?? 0)
  const endV = endVoltageOf(input)
  return warningsWhere([
    [
      largest > 3 * ratedCapacityAh,
      'CURRENT_ABOVE_3C',
      'A current above 3 times the capacity is beyond what these models know.',
    ],
    [
      (input.exponent ?? 0) > USUAL_EXPONENT,
      'EXPONENT_UNUSUAL',
      'An exponent above 1.6 is unusual: was it fitted to this battery?',
    ],
    [
      alarm !== undefined && alarm.currentA < standbyCurrentA,
      'ALARM_BELOW_STANDBY',
      'The alarm current is below the standby current: give the whole current in alarm, not the increase.',
    ],
    [
      input.cutOffV !== undefined && endV !== undefined && input.cutOffV > endV,
      'CUT_OFF_EARLY',
      'The system cuts the battery off above its end of discharge: it stops earlier than these hours.',
    ],
    [
      input.cutOffV !== undefined && endV !== undefined && input.cutOffV < endV,
      'CUT_OFF_LATE',
      'The system lets the battery fall below its end of discharge: that shortens its life, and a flat battery freezes.',
    ],
    [
      ratedCapacityAh / standbyCurrentA > SHELF_LOSS_FROM_HOURS,
      'SHELF_LOSS_LEFT_OUT',
      'Over so long a time a battery loses about 3 % a month by itself: it lasts shorter than these hours.',
    ],
    [
      input.capacityFraction === undefined,
      'TAKEN_AS_NEW',
      'The battery is taken as new. One of four or five years may have half of its capacity left.',
    ],
  ])
}
