import { DomainError } from '../errors.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { product } from './sizing-factors.ts'
import type { Factor, Load, Method, SizingInput } from './sizing-types.ts'
import { deratedCapacityAh, type LoadProfile, loadChargeAh, sectionCapacityAh } from './standby-capacity.ts'
import { checkAlike, checkChemistry } from './suitable.ts'

/** Exponent of small valve-regulated batteries between the 10 h and 5 h rates; derived from one data sheet's capacities. */
export const DEFAULT_EXPONENT = 1.15

/** What is wrong with a list of loads, each mistake with its own pointer. */
const loadChecks = (loads: readonly Load[]) =>
  loads.flatMap(({ quantity, standbyCurrentA, alarmCurrentA = standbyCurrentA }, index) => [
    () => within(quantity, `/loads/${index}/quantity`, 0, 10_000, '1'),
    () => within(standbyCurrentA, `/loads/${index}/standbyCurrent`, 0, 1000, 'A'),
    () => within(alarmCurrentA, `/loads/${index}/alarmCurrent`, 0, 1000, 'A'),
  ])

/**
 * Refuses every mistake in loads, hours and batteries in one answer.
 * @throws DomainError the first refusal, with the others in `also`
 */
export function checkSizing(input: SizingInput): void {
  refuseTogether([
    ...loadChecks(input.loads),
    () => hoursOf(input),
    () => checkChemistry(input),
    () => checkAlike(input),
  ])
}

/** Currents of all loads together, with the times. */
export function sumLoads(
  loads: readonly Load[],
  standbyDurationHours: number,
  alarmDurationHours: number,
): LoadProfile {
  const sum = (currentOf: (load: Load) => number) =>
    loads.reduce((total, load) => total + load.quantity * currentOf(load), 0)
  return {
    standbyCurrentA: sum(({ standbyCurrentA }) => standbyCurrentA),
    alarmCurrentA: sum(({ standbyCurrentA, alarmCurrentA = standbyCurrentA }) => alarmCurrentA),
    standbyDurationHours,
    alarmDurationHours,
  }
}

/** Standby and alarm time: own hours before those of the duty. */
export function hoursOf(input: SizingInput): { standby: number; alarm: number } {
  const standby = input.standbyHours ?? input.duty?.standbyHours
  if (standby === undefined)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'standbyDuration must be given, or a duty that states it', {
      path: '/standbyDuration',
    })
  const alarm = input.alarmHours ?? input.duty?.alarmHours ?? 0
  refuseTogether([
    () => within(standby, '/standbyDuration', 0, 10_000, 'h'),
    () => within(alarm, '/alarmDuration', 0, 1000, 'h'),
  ])
  return { standby, alarm }
}

/** The method that applies: a duty with a rule of its own keeps it. */
export const methodOf = ({ duty, method }: SizingInput): Method => duty?.rule ?? method

/** Capacity before margins [Ah]. A battery gives no more than its rating however slowly it is drained, so never below the charge. */
export function uncorrectedAh(input: SizingInput, load: LoadProfile): number {
  const charge = loadChargeAh(load)
  if (methodOf(input) !== 'sections') return charge
  const periods = [
    { currentA: load.standbyCurrentA, durationHours: load.standbyDurationHours },
    { currentA: load.alarmCurrentA, durationHours: load.alarmDurationHours },
  ]
  const lasting = periods.filter(({ durationHours }) => durationHours > 0)
  return Math.max(charge, sectionCapacityAh(lasting, input.exponent ?? DEFAULT_EXPONENT))
}

/** Required capacity [Ah] by the method that applies. */
export function requiredAh(input: SizingInput, load: LoadProfile, factors: readonly Factor[]): number {
  const margins = factors.filter(({ name }) => name !== 'temperature')
  const temperature = product(factors.filter(({ name }) => name === 'temperature'))
  if (methodOf(input) === 'derated-alarm') return deratedCapacityAh(load, product(margins)).capacityAh * temperature
  return uncorrectedAh(input, load) * product(factors)
}

/** Refuses a load that draws no charge: there is nothing to size. */
export function checkSomethingToSize(load: LoadProfile): void {
  if (loadChargeAh(load) > 0) return
  throw new DomainError('QUANTITY_OUT_OF_RANGE', 'load charge must be > 0 Ah, got 0 Ah: there is nothing to size', {
    path: '/loads',
    limit: 0,
    value: 0,
  })
}
