import { type Step, written } from '../quantities/derivation.ts'
import { product } from './sizing-factors.ts'
import { DEFAULT_EXPONENT, methodOf, uncorrectedAh } from './sizing-requirement.ts'
import type { Factor, SizingInput } from './sizing-types.ts'
import { deratedCapacityAh, type LoadProfile, loadChargeAh } from './standby-capacity.ts'

const names = (factors: readonly Factor[]) => factors.map(({ name }) => name).join(' x ') || '1'
const values = (factors: readonly Factor[]) => factors.map(({ value }) => written(value)).join(' x ') || '1'

function chargeStep(load: LoadProfile): Step {
  const { standbyCurrentA, standbyDurationHours, alarmCurrentA, alarmDurationHours } = load
  const part = (currentA: number, hours: number) => `${written(currentA)} A x ${written(hours)} h`
  return {
    formula: 'load charge = standby current x standby time + alarm current x alarm time',
    substituted: `${part(standbyCurrentA, standbyDurationHours)} + ${part(alarmCurrentA, alarmDurationHours)}`,
    value: loadChargeAh(load),
    unit: 'Ah',
    source: 'sum of the charges; the alarm follows the standby time',
  }
}

function deratedStep(load: LoadProfile, factors: readonly Factor[], required: number): Step {
  const { standbyCurrentA, standbyDurationHours, alarmCurrentA, alarmDurationHours } = load
  const margin = product(factors.filter(({ name }) => name !== 'temperature'))
  const { alarmDerating } = deratedCapacityAh(load, margin)
  const standby = written(standbyCurrentA * standbyDurationHours)
  const alarm = written(alarmCurrentA * alarmDurationHours)
  return {
    formula: `required = ${names(factors)} x (standby charge + D x alarm charge), D = 1 if C/20 covers the alarm current, else 1.75 or just what makes C/20 cover it`,
    substituted: `${values(factors)} x (${standby} Ah + ${written(alarmDerating)} x ${alarm} Ah)`,
    value: required,
    unit: 'Ah',
    source: 'BS 5839-1 Annex E (as reported); the case between the two values of D is our reading',
  }
}

function sectionStep(input: SizingInput, base: number): Step {
  return {
    formula:
      'section capacity = sum of current steps x 20 h x (time to the end / 20 h)^(1 / k), largest section, not below the load charge',
    substituted: `k = ${written(input.exponent ?? DEFAULT_EXPONENT)}`,
    value: base,
    unit: 'Ah',
    source: 'IEEE 485 section method (from memory)',
  }
}

/** The derivation of a requirement, each line checkable with a pencil. */
export function stepsOf(input: SizingInput, load: LoadProfile, factors: readonly Factor[], required: number): Step[] {
  const method = methodOf(input)
  if (method === 'derated-alarm') return [chargeStep(load), deratedStep(load, factors, required)]
  const base = uncorrectedAh(input, load)
  const last: Step = {
    formula: `required = charge x ${names(factors)}`,
    substituted: `${written(base)} Ah x ${values(factors)}`,
    value: required,
    unit: 'Ah',
    source: 'each factor names its own',
  }
  return [chargeStep(load), ...(method === 'sections' ? [sectionStep(input, base)] : []), last]
}
