import { standbyRuntime } from '../domain/power/battery-runtime.ts'
import { END_OF_LIFE_FRACTION } from '../domain/power/health-evidence.ts'

/** What is known of the main battery and its load. */
export interface StatedReserve {
  ratedCapacityAh: number
  standbyCurrentA: number
}

/**
 * How long the main battery carries the system [h]: from one at the end of its life to a new one, fully charged.
 * @throws DomainError QUANTITY_OUT_OF_RANGE, NO_LOAD
 */
export function mainBatteryHours(reserve: StatedReserve): { lowHours: number; highHours: number } {
  const worn = standbyRuntime({ ...reserve, capacityFraction: END_OF_LIFE_FRACTION })
  return { lowHours: worn.lowHours, highHours: standbyRuntime(reserve).highHours }
}
