import { DomainError } from '../errors.ts'
import { atLeast, count } from './guard.ts'

export interface DeviceLoad {
  name?: string
  quantity: number
  /** Current of one device. */
  standbyCurrentA: number
  /** TOTAL current of one device in alarm, not the increase over standby. */
  alarmCurrentA: number
}

export interface TotalLoad {
  standbyCurrentA: number
  alarmCurrentA: number
}

export interface LoadInput {
  devices?: readonly DeviceLoad[]
  standbyCurrentA?: number
  alarmCurrentA?: number
}

const MAX_DEVICES = 100_000

function deviceTotal(device: DeviceLoad, index: number): TotalLoad {
  const path = `/devices/${index}`
  const quantity = count(device.quantity, MAX_DEVICES, `${path}/quantity`)
  return {
    standbyCurrentA: quantity * atLeast(device.standbyCurrentA, 0, `${path}/standbyCurrentA`, 'A'),
    alarmCurrentA: quantity * atLeast(device.alarmCurrentA, 0, `${path}/alarmCurrentA`, 'A'),
  }
}

/**
 * Standby and alarm current [A] of a load: the totals as given, or the sum of quantity times current over the devices.
 *
 * @param load - either totals or a list of devices, currents [A] finite and >= 0
 * @returns the two currents [A]
 * @throws DomainError QUANTITY_OUT_OF_RANGE with the path of the field; also when both forms or neither are given
 * @validity currents add at one voltage; pulses are not averaged
 * @source own-derivation
 * @example totalLoad({ devices: [{ quantity: 2, standbyCurrentA: 0.1, alarmCurrentA: 0.2 }] }).standbyCurrentA // 0.2
 */
export function totalLoad({ devices, standbyCurrentA, alarmCurrentA }: LoadInput): TotalLoad {
  const hasTotals = standbyCurrentA !== undefined || alarmCurrentA !== undefined
  if ((devices !== undefined) === hasTotals)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'load must be given either as devices or as total currents', {
      path: '/devices',
    })
  if (!devices)
    return {
      standbyCurrentA: atLeast(standbyCurrentA ?? 0, 0, '/standbyCurrentA', 'A'),
      alarmCurrentA: atLeast(alarmCurrentA ?? 0, 0, '/alarmCurrentA', 'A'),
    }
  const totals = devices.map(deviceTotal)
  return {
    standbyCurrentA: totals.reduce((sum, total) => sum + total.standbyCurrentA, 0),
    alarmCurrentA: totals.reduce((sum, total) => sum + total.alarmCurrentA, 0),
  }
}

export interface DutyCycle extends TotalLoad {
  standbyHours: number
  alarmHours: number
}

/** The cycle with each quantity checked: currents [A] and durations [h] finite and >= 0. */
export function checkedCycle(cycle: DutyCycle): DutyCycle {
  atLeast(cycle.standbyCurrentA, 0, '/standbyCurrentA', 'A')
  atLeast(cycle.standbyHours, 0, '/standbyHours', 'h')
  atLeast(cycle.alarmCurrentA, 0, '/alarmCurrentA', 'A')
  atLeast(cycle.alarmHours, 0, '/alarmHours', 'h')
  return cycle
}

/**
 * Charge [Ah] that a load draws over standby followed by alarm.
 *
 * loadChargeAh = standbyCurrentA * standbyHours + alarmCurrentA * alarmHours
 *
 * @param cycle - currents [A] and durations [h], each finite and >= 0; alarmCurrentA is the total in alarm
 * @returns charge [Ah], unrounded
 * @throws DomainError QUANTITY_OUT_OF_RANGE when a quantity is negative or not finite
 * @validity constant currents, one battery voltage; ignores rate, temperature and age
 * @source nfpa-72 and bs-5839-1, "followed by", as reported
 * @example loadChargeAh({ standbyCurrentA: 0.25, standbyHours: 12, alarmCurrentA: 0, alarmHours: 0 }) // 3
 */
export function loadChargeAh(cycle: DutyCycle): number {
  const { standbyCurrentA, standbyHours, alarmCurrentA, alarmHours } = checkedCycle(cycle)
  return standbyCurrentA * standbyHours + alarmCurrentA * alarmHours
}
