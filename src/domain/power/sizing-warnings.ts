import { type Warning, warningsWhere } from '../quantities/derivation.ts'
import { coveredByDuty } from './sizing-factors.ts'
import { hoursOf, methodOf } from './sizing-requirement.ts'
import type { BatterySize, SizingInput } from './sizing-types.ts'
import type { LoadProfile } from './standby-capacity.ts'

/** Above this a supply of small systems is likelier to be a slip of the unit. Judgement. */
const IMPLAUSIBLE_CURRENT_A = 10
/** A longer alarm is likelier to be minutes given as hours. Judgement. */
const IMPLAUSIBLE_ALARM_HOURS = 4

type Rule = [holds: boolean, code: string, message: string]

function ofLoad(load: LoadProfile): Rule[] {
  const { standbyCurrentA, alarmCurrentA, alarmDurationHours } = load
  return [
    [
      alarmDurationHours > 0 && alarmCurrentA < standbyCurrentA,
      'ALARM_BELOW_STANDBY',
      'The alarm current is below the standby current: give the whole current in alarm, not the increase.',
    ],
    [
      Math.max(standbyCurrentA, alarmCurrentA) > IMPLAUSIBLE_CURRENT_A,
      'CURRENT_IMPLAUSIBLE',
      `A current above ${IMPLAUSIBLE_CURRENT_A} A is unusual here: were milliamperes meant?`,
    ],
    [
      alarmDurationHours > IMPLAUSIBLE_ALARM_HOURS,
      'ALARM_TIME_IMPLAUSIBLE',
      `An alarm of more than ${IMPLAUSIBLE_ALARM_HOURS} h is unusual: were minutes meant?`,
    ],
  ]
}

function ofDuty(input: SizingInput, load: LoadProfile): Rule[] {
  const { duty } = input
  const hours = hoursOf(input)
  return [
    [
      input.alarmHours === undefined && hours.alarm === 0 && load.alarmCurrentA > load.standbyCurrentA,
      'ALARM_TIME_NOT_STATED',
      'No alarm time is given or stated by the duty: the alarm current is not counted. Give the alarm time.',
    ],
    [
      duty !== undefined && (hours.standby < duty.standbyHours || hours.alarm < duty.alarmHours),
      'HOURS_BELOW_DUTY',
      'A given time is shorter than the duty asks for.',
    ],
    [
      coveredByDuty(input).length > 0,
      'AGEING_COVERED_BY_DUTY',
      "The duty's own margin covers this already: the larger of the two is counted, once.",
    ],
    [
      duty?.rule !== undefined && duty.rule !== input.method,
      'METHOD_SET_BY_DUTY',
      `The duty has a rule of its own, "${duty?.rule}": it was used.`,
    ],
    [
      duty !== undefined && duty.certainty !== 'read',
      'DUTY_NOT_READ',
      `The hours of this duty are ${duty?.certainty === 'memory' ? 'from memory' : 'as reported by another text'}: check the edition in force.`,
    ],
  ]
}

function ofBattery(input: SizingInput, load: LoadProfile, recommended: BatterySize['recommended']): Rule[] {
  const sizeAh = recommended && recommended.capacityAh * recommended.inParallel
  const isHeavy = load.alarmDurationHours > 0 && sizeAh !== undefined && load.alarmCurrentA > sizeAh / 5
  return [
    [
      methodOf(input) === 'load-charge' && isHeavy,
      'ALARM_CURRENT_HEAVY',
      'The alarm current is above C/5: the method "sections" or "derated-alarm" counts it in full.',
    ],
    [
      recommended !== undefined && recommended.inParallel > 1,
      'PARALLEL_BATTERIES',
      'Batteries in parallel must be equal in type, capacity and age: replace them together.',
    ],
    [
      input.limits?.chargeLimitA !== undefined && input.limits.supplyCurrentA === undefined,
      'SUPPLY_NOT_STATED',
      'The current of the supply is not stated: the load may leave less than the charge limit for the battery.',
    ],
  ]
}

/** What a careful technician would remark on a sizing. */
export function warningsOf(input: SizingInput, load: LoadProfile, recommended: BatterySize['recommended']): Warning[] {
  return warningsWhere([...ofLoad(load), ...ofDuty(input, load), ...ofBattery(input, load, recommended)])
}
