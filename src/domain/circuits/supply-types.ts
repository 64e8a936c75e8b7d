import type { Step, Warning } from '../quantities/derivation.ts'
import type { Rectifier } from './rectifier.ts'

export interface SupplyInput {
  kind: 'ac' | 'dc'
  /** Nameplate, loaded. */
  ratedV: number
  ratedVA?: number
  ratedA?: number
  /** Current of everything on the board's DC side, charging included. */
  loadCurrentA?: number
  /** Readings at the secondary: wires lifted, and joined to the running system. */
  openV?: number
  loadedV?: number
  /** What the meter was set to. */
  meterRange?: 'ac' | 'dc'
  /** Behind an AC supply; a bridge with a capacitor when left out. */
  rectifier?: Rectifier
  hasCapacitor?: boolean
  /** DC voltage that the board must hold behind the rectifier. */
  outputV?: number
  capacitanceUF?: number
  mainsHz?: number
  /** Auxiliary output: its rating and what hangs on it, in standby and in alarm. */
  auxiliary?: { ratedA: number; loads: readonly AuxiliaryLoad[] }
}
export interface AuxiliaryLoad {
  label?: string
  quantity: number
  currentA: number
  /** As in standby when left out. */
  alarmCurrentA?: number
}
export type SupplyVerdict = 'sound' | 'dead' | 'overloaded-or-shorted' | 'weak' | 'wrong-range' | 'cannot-tell'
export interface SupplyCheck {
  verdict: SupplyVerdict
  because: string
  /** RMS current and apparent power that the transformer gives for the load. */
  demand?: { acCurrentA: number; apparentPowerVA: number; fractionOfRating?: number }
  /** DC current that the rating leaves behind the rectifier. */
  dcAvailableA?: number
  /** DC voltage to expect on the capacitor, by the nameplate. */
  rawDcV?: number
  /** Secondary that the wanted DC voltage needs. */
  needed?: { voltageV: number; currentA: number; apparentPowerVA: number; isEnough: boolean }
  rippleV?: number
  regulationFraction?: number
  expected: { openV: { low: number; high: number }; loadedV: { low: number; high: number } }
  auxiliary?: { loadA: number; alarmA: number; ratedA: number; leftA: number; isOverload: boolean }
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}
