import type { Step, Warning } from '../quantities/derivation.ts'
import type { Duty } from './duties.ts'
import type { LoadProfile } from './standby-capacity.ts'
import type { Suitability } from './suitable.ts'

export interface Load {
  label?: string
  quantity: number
  standbyCurrentA: number
  /** Whole current in alarm; the standby current when left out. */
  alarmCurrentA?: number
}
export type Method = 'load-charge' | 'derated-alarm' | 'sections'

export interface SizingInput extends Suitability {
  loads: readonly Load[]
  duty?: Duty
  /** Own hours; each takes the place of the duty's. */
  standbyHours?: number
  alarmHours?: number
  nominalVoltageV: 6 | 12 | 24
  method: Method
  /** Peukert exponent of the section method. */
  exponent?: number
  ageingFactor?: number
  designFactor?: number
  /** Lowest temperature of the battery. */
  temperatureC?: number
  /** What the charger and the case can take. */
  limits?: {
    maximumCapacityAh?: number
    supplyCurrentA?: number
    chargeLimitA?: number
    rechargeHours?: number
    rechargeFraction?: number
  }
  sizesAh?: readonly number[]
}

export interface Factor {
  name: 'ageing' | 'design' | 'temperature' | 'duty-margin' | 'alarm-derating'
  value: number
  source: string
}
export interface BatterySize {
  load: LoadProfile
  loadChargeAh: number
  requiredCapacityAh: number
  factors: Factor[]
  steps: Step[]
  /** The battery to take: one of `blockVoltageV`, `inSeries` of them. Absent when none will do. */
  recommended?: { capacityAh: number; blockVoltageV: 6 | 12; inSeries: number; inParallel: number }
  noneBecause?: string
  largestAllowedAh?: number
  warnings: Warning[]
  /** Largest standby current and standby time for which the recommendation still holds. */
  decisionChangesAt?: { standbyCurrentA: number; standbyHours: number }
  whatIf: { standbyHours: number; requiredCapacityAh: number; recommendedCapacityAh?: number }[]
  wouldChange: string[]
  validity: string
}
