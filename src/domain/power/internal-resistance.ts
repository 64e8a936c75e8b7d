import { DomainError } from '../errors.ts'
import { within } from '../quantities/within.ts'

/**
 * Internal resistance of a battery from the voltage before and under a load, in ohm.
 *
 * R = (V1 - V2) / (I2 - I1), with I1 = 0
 *
 * @param restVoltageV - voltage before the load [V]
 * @param loadedVoltageV - voltage under the load [V]
 * @param loadCurrentA - current of the load [A], > 0
 * @throws DomainError QUANTITY_OUT_OF_RANGE when the voltage rises with the load: swapped leads, or the charger is still on
 * @validity use 1 A or more: a healthy 7 Ah battery moves 10 mV at 0.3 A, which a multimeter cannot see
 * @source ohm's law; check value of an analytic example
 * @example internalResistanceOhm(12.8, 12.26, 9) // 0.06
 */
export function internalResistanceOhm(restVoltageV: number, loadedVoltageV: number, loadCurrentA: number): number {
  within(loadCurrentA, '/loadCurrent', 1e-3, 1e4, 'A')
  if (loadedVoltageV > restVoltageV)
    throw new DomainError(
      'QUANTITY_OUT_OF_RANGE',
      `loadedVoltage must be at most the rest voltage ${restVoltageV} V, got ${loadedVoltageV} V: are the leads swapped, or is the charger still on?`,
      { path: '/loadedVoltage', limit: restVoltageV, value: loadedVoltageV },
    )
  return (restVoltageV - loadedVoltageV) / loadCurrentA
}
