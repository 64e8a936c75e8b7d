import { atPointer } from '../quantities/at-pointer.ts'
import { written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { testedCapacityFraction } from './capacity-test.ts'
import { dischargeHealth, type HealthEstimate } from './discharge-health.ts'
import { internalResistanceOhm } from './internal-resistance.ts'
import { DEFAULT_PEUKERT_EXPONENT } from './peukert.ts'
import { chargeByRestVoltage } from './rest-voltage.ts'
import { serviceLifeYears } from './service-life.ts'
import { capacityTemperatureRange } from './temperature-capacity.ts'

/** From a mains loss to the low-battery signal, or to the return of the mains. */
export interface OutageEvidence {
  loadCurrentA: number
  elapsedHours: number
  /** The mains came back before the battery was low: only a bound follows. */
  endedBy: 'battery-low' | 'mains-restored'
  hoursOnMainsBefore?: number
  loadCurrentRelativeUncertainty?: number
  elapsedUncertaintyHours?: number
}
export interface RestVoltageEvidence {
  voltageV: number
  restHours: number
}
export interface LoadTestEvidence {
  /** Voltage after five minutes on the system's own load, mains off. */
  voltageAfter5MinV: number
  voltageAfter30MinV?: number
  /** Voltage just before the load, and its current: the internal resistance follows. */
  voltageBeforeV?: number
  loadCurrentA?: number
}
/** A discharge at a rated current down to its end voltage. */
export interface CapacityTestEvidence {
  actualHours: number
  /** Time that the maker states for this current. */
  ratedHours: number
  temperatureC?: number
}
export interface AgeEvidence {
  ageYears: number
  designLifeYears?: number
  temperatureC?: number
}
export interface Rated {
  capacityAh: number
  durationHours: number
  nominalVoltageV: number
}

/** What one piece of evidence says. */
export interface Finding {
  evidence: 'outage' | 'rest-voltage' | 'load-test' | 'capacity-test' | 'age'
  /** An estimate of the capacity left, where the evidence can give one. */
  estimate?: HealthEstimate
  /** At least this share, where only a bound follows. */
  atLeastFraction?: number
  internalResistanceOhm?: number
  /** A plain verdict by bands, where there is no estimate. */
  verdict: 'sound' | 'worn' | 'suspect' | 'cannot-tell'
  text: string
  source: string
}

/** Shares of charge gone at a signal of 11.0 to 11.5 V: 0.80 to 0.95 (judgement). */
const USED = { fraction: 0.9, uncertainty: 0.08 }
const FULL_AFTER_HOURS = 24
const REST_HOURS = 4

export function outageFinding(
  outage: OutageEvidence,
  rated: Rated,
  temperatureC: number,
  pointer = '/outages/0',
): Finding {
  refuseTogether([
    () => within(outage.loadCurrentA, `${pointer}/loadCurrent`, 1e-4, 1000, 'A'),
    () => within(outage.elapsedHours, `${pointer}/elapsed`, 0.01, 1000, 'h'),
    () => within(outage.hoursOnMainsBefore ?? 0, `${pointer}/onMainsBefore`, 0, 1e6, 'h'),
    () => within(outage.loadCurrentRelativeUncertainty ?? 0, `${pointer}/loadCurrentRelativeUncertainty`, 0, 1, '1'),
    () => within(outage.elapsedUncertaintyHours ?? 0, `${pointer}/elapsedUncertainty`, 0, 1000, 'h'),
  ])
  const common = { evidence: 'outage' as const, source: 'charge balance and Peukert (1897); used share by judgement' }
  const deliveredAh = outage.loadCurrentA * outage.elapsedHours
  if (outage.endedBy === 'mains-restored') {
    const atLeastFraction = deliveredAh / rated.capacityAh
    const text = `The mains came back first: the battery gave at least ${written(deliveredAh)} Ah. That is a bound, not an estimate.`
    return { ...common, atLeastFraction, verdict: atLeastFraction >= 0.8 ? 'sound' : 'cannot-tell', text }
  }
  if (outage.hoursOnMainsBefore !== undefined && outage.hoursOnMainsBefore < FULL_AFTER_HOURS)
    return {
      ...common,
      verdict: 'cannot-tell',
      text: 'The battery may not have been full at the start: it needs at least 24 h of mains before.',
    }
  const estimate = dischargeHealth({
    loadCurrentA: outage.loadCurrentA,
    loadCurrentRelativeUncertainty: outage.loadCurrentRelativeUncertainty ?? 0.15,
    elapsedHours: outage.elapsedHours,
    elapsedUncertaintyHours: outage.elapsedUncertaintyHours ?? 0.5,
    usedFraction: USED.fraction,
    usedFractionUncertainty: USED.uncertainty,
    temperatureFactor: capacityTemperatureRange(temperatureC, outage.elapsedHours).high,
    exponent: DEFAULT_PEUKERT_EXPONENT,
    ratedCapacityAh: rated.capacityAh,
    ratedDurationHours: rated.durationHours,
  })
  const text = `It gave ${written(deliveredAh)} Ah until the signal: about ${Math.round(100 * estimate.fraction)} % of its rated capacity.`
  return { ...common, estimate, verdict: verdictOf(estimate), text }
}

/** Two standard uncertainties clear of the criterion. */
export const CLEAR = 2

/** End of life at 80 % of the rated capacity: IEEE 1188 (from memory), a storage-battery text of a water authority (read). */
export const END_OF_LIFE_FRACTION = 0.8

export function verdictOf({ fraction, uncertainty }: HealthEstimate): Finding['verdict'] {
  if (fraction - CLEAR * uncertainty >= END_OF_LIFE_FRACTION) return 'sound'
  if (fraction + CLEAR * uncertainty < END_OF_LIFE_FRACTION) return 'worn'
  return 'cannot-tell'
}

/** Voltage of six cells: a 6 V or 24 V battery is referred to 12 V. */
const asTwelve = (voltageV: number, { nominalVoltageV }: Rated) => (voltageV * 12) / nominalVoltageV

export function restVoltageFinding({ voltageV, restHours }: RestVoltageEvidence, rated: Rated): Finding {
  const referred = asTwelve(voltageV, rated)
  refuseTogether([
    () => within(referred, '/restVoltage/voltage', 0, 16.8, 'V on six cells'),
    () => within(restHours, '/restVoltage/rest', 0, 10_000, 'h'),
  ])
  const common = { evidence: 'rest-voltage' as const, source: 'three tables of rest voltage (as reported and read)' }
  if (restHours < REST_HOURS)
    return {
      ...common,
      verdict: 'cannot-tell',
      text: 'It has not rested for 4 hours: the voltage still reads high or low.',
    }
  if (referred < 10.5)
    return {
      ...common,
      verdict: 'worn',
      text: 'Under 10.5 V at rest: a cell is gone, or it was empty for long. It hardly recovers.',
    }
  const charges = chargeByRestVoltage(referred).map(({ fraction }) => fraction)
  const [least, most] = [Math.min(...charges), Math.max(...charges)].map((fraction) => Math.round(100 * fraction))
  const text = `Charged to ${least === most ? `${least}` : `${least} to ${most}`} %, by tables that disagree. Rest voltage tells charge, not capacity: a worn battery rests high too.`
  return { ...common, verdict: 'cannot-tell', text }
}

/** Bands of a six-cell battery on the system's load after five minutes: common practice, no source. */
export const SOUND_FROM_V = 12.3
export const WORN_BELOW_V = 11.8
const WORN_FALL_V = 0.5

/** Internal resistance by the load of the test, when the voltage before it and the current are known. */
function resistanceOf({ voltageBeforeV, loadCurrentA, voltageAfter5MinV }: LoadTestEvidence) {
  if (voltageBeforeV === undefined || loadCurrentA === undefined) return {}
  const ohm = atPointer('/loadTest', () => internalResistanceOhm(voltageBeforeV, voltageAfter5MinV, loadCurrentA))
  return { internalResistanceOhm: ohm }
}

export function loadTestFinding(evidence: LoadTestEvidence, rated: Rated): Finding {
  const { voltageAfter5MinV, voltageAfter30MinV } = evidence
  const early = asTwelve(voltageAfter5MinV, rated)
  const late = voltageAfter30MinV === undefined ? early : asTwelve(voltageAfter30MinV, rated)
  refuseTogether([
    () => within(early, '/loadTest/voltageAfter5Min', 0, 16.8, 'V on six cells'),
    () => within(late, '/loadTest/voltageAfter30Min', 0, 16.8, 'V on six cells'),
    () => resistanceOf(evidence),
  ])
  const fall = early - late
  const isWorn = early < WORN_BELOW_V || fall > WORN_FALL_V
  const verdict = isWorn ? 'worn' : early >= SOUND_FROM_V ? 'sound' : 'suspect'
  const text = {
    worn: 'It sags under the load of its own system: replace it.',
    sound: 'It holds its voltage under the load of its own system.',
    suspect: 'It sags somewhat: recharge for 24 hours and test again.',
  }[verdict]
  return {
    evidence: 'load-test',
    verdict,
    text,
    ...resistanceOf(evidence),
    source: 'bands of voltage under load: common practice, no source',
  }
}

/** Standard uncertainty of a capacity test: current, end voltage and temperature each held to some per cent. Judgement. */
const CAPACITY_TEST_UNCERTAINTY = 0.04

export function capacityTestFinding({ actualHours, ratedHours, temperatureC }: CapacityTestEvidence): Finding {
  const fraction = atPointer('/capacityTest', () => testedCapacityFraction(actualHours, ratedHours, temperatureC))
  const estimate = { fraction, uncertainty: CAPACITY_TEST_UNCERTAINTY }
  return {
    evidence: 'capacity-test',
    estimate,
    verdict: verdictOf(estimate),
    text: `In the discharge test it gave ${Math.round(100 * fraction)} % of its rated time.`,
    source: 'IEEE 450 and 1188, time-adjusted method (as reported); uncertainty by judgement',
  }
}

export function ageFinding({ ageYears, designLifeYears = 4, temperatureC = 25 }: AgeEvidence): Finding {
  refuseTogether([
    () => within(ageYears, '/age/age', 0, 50, 'a'),
    () => within(designLifeYears, '/age/designLife', 0.5, 25, 'a'),
    () => within(temperatureC, '/age/temperature', -40, 70, 'degrees C'),
  ])
  const [least, most] = [8, 10].map((step) => serviceLifeYears(designLifeYears, temperatureC, step)) as [number, number]
  const verdict = ageYears > most ? 'suspect' : 'cannot-tell'
  const text = `At ${written(temperatureC)} degrees C a battery of ${written(designLifeYears)} years lasts about ${least.toFixed(1)} to ${most.toFixed(1)}; this one is ${written(ageYears)} years old.`
  return { evidence: 'age', verdict, text, source: 'life halves each 8 to 10 degrees C above 25 (as reported)' }
}
