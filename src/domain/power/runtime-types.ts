import type { Step, Warning } from '../quantities/derivation.ts'
import type { ModelName } from './runtime-models.ts'
import type { Suitability } from './suitable.ts'

export interface BatteryRuntimeInput extends Pick<Suitability, 'chemistry' | 'agesInParallelYears'> {
  /** At the rated time, all batteries in parallel together. */
  ratedCapacityAh: number
  ratedDurationHours?: number
  standbyCurrentA: number
  /** Whole current in alarm and how long it lasts. */
  alarm?: { currentA: number; hours: number }
  /** Of this battery; else every usual exponent counts, or the one of two discharge tests. */
  exponent?: number
  dischargeTests?: readonly [DischargeTest, DischargeTest]
  /** Voltage at which the system cuts the battery off, of the whole battery. */
  cutOffV?: number
  nominalVoltageV?: 6 | 12 | 24
  temperatureC?: number
  /** Share of the rated capacity that the battery still has; 1 when new. */
  capacityFraction?: number
  /** Minutes of the day at which the mains went. */
  startsAtMinute?: number
}
export interface DischargeTest {
  currentA: number
  durationHours: number
}
export interface Hours {
  lowHours: number
  highHours: number
}
export interface ModelRuntime {
  model: ModelName
  /** Standby alone until empty. */
  hours?: Hours
  /** Why the model says nothing here. */
  reason?: 'RATE_BEYOND_TABLE' | 'RATED_AT_OTHER_TIME'
  /** Share of the charge left over time, for a plot: the lower bound. */
  curve: { hours: number; leftFraction: number }[]
}
export interface BatteryRuntime {
  /** Standby alone: from the least that any model gives to the most. */
  standby: Hours
  /** When the alarm rings first, for its whole time. */
  ifItRings?: Hours
  /** Standby time after which the whole alarm is still possible; 0 when it is not at all. */
  keepingAlarm?: Hours
  models: ModelRuntime[]
  /** End of discharge at this load [V]: the voltage that the models' hours end at. */
  endVoltageV?: number
  /** Minutes after midnight of the first day at which it may stop, in whole ten minutes; over 1440 is the next day. */
  untilMinute?: { low: number; high: number }
  steps: Step[]
  wouldChange: string[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}
