import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { peukertExponentFrom, USUAL_PEUKERT_EXPONENTS } from './peukert.ts'
import { endVoltageAtDuration } from './rate-table.ts'
import { type Carried, type Lasts, lastsUnder, MODELS, type ModelName, type Phase } from './runtime-models.ts'
import { checkAlike, checkChemistry, type Suitability } from './suitable.ts'
import { capacityTemperatureRange } from './temperature-capacity.ts'

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
  warnings: Warning[]
  validity: string
  hazards: string[]
}

/** Above this a small battery's exponent is likelier to be of an old or vented one. */
const USUAL_EXPONENT = 1.6
const CURVE_POINTS = 25
/** A clock time from such a range is not worth single minutes. */
const CLOCK_STEP_MINUTES = 10
/** From here on shelf loss takes a share that the models leave out. Judgement. */
const SHELF_LOSS_FROM_HOURS = 1000

function check(input: BatteryRuntimeInput): void {
  const { alarm } = input
  refuseTogether([
    () => within(input.ratedCapacityAh, '/ratedCapacity', 0.01, 10_000, 'Ah'),
    () => within(input.ratedDurationHours ?? 20, '/ratedDuration', 0.1, 240, 'h'),
    () => within(input.standbyCurrentA, '/standbyCurrent', 0, 1000, 'A'),
    () => within(input.exponent ?? 1, '/exponent', 1, 2, '1'),
    () => input.dischargeTests && peukertExponentFrom(...input.dischargeTests),
    () => within(input.cutOffV ?? 0, '/cutOff', 0, 30, 'V'),
    () => within(input.capacityFraction ?? 1, '/capacityFraction', 0.01, 1.2, '1'),
    () => within(input.startsAtMinute ?? 0, '/startsAt', 0, 1439, 'min'),
    () => within(alarm?.currentA ?? 1, '/alarmCurrent', 1e-6, 1000, 'A'),
    () => within(alarm?.hours ?? 1, '/alarmDuration', 0, 1000, 'h'),
    () => capacityTemperatureRange(input.temperatureC ?? 25, 20),
    () => checkChemistry(input),
    () => checkAlike(input),
  ])
  if (input.standbyCurrentA === 0)
    throw new DomainError(
      'NO_LOAD',
      'standbyCurrent must be above 0 A: without a load only shelf loss empties a battery',
      {
        path: '/standbyCurrent',
        limit: 'above 0 A',
        value: 0,
      },
    )
}

/** One exponent when it is known, else the usual ones from end to end. */
function exponentsOf({ exponent, dischargeTests }: BatteryRuntimeInput): { low: number; high: number } {
  const known = exponent ?? (dischargeTests && peukertExponentFrom(...dischargeTests))
  return known === undefined ? USUAL_PEUKERT_EXPONENTS : { low: known, high: known }
}

/** The battery as aged and cooled: least and most that the sources on temperature and the exponents allow. */
function carriedBy(input: BatteryRuntimeInput): { low: Carried; high: Carried } {
  const { ratedCapacityAh, ratedDurationHours = 20 } = input
  const exponents = exponentsOf(input)
  const guessHours = ratedCapacityAh / input.standbyCurrentA
  const factor = capacityTemperatureRange(input.temperatureC ?? 25, guessHours)
  const of = (temperature: number, exponent: number): Carried => ({
    capacityAh: ratedCapacityAh * (input.capacityFraction ?? 1) * temperature,
    ratedDurationHours,
    exponent,
  })
  return { low: of(factor.low, exponents.high), high: of(factor.high, exponents.low) }
}

const hoursOf = (lasts: Lasts) => ('hours' in lasts ? lasts.hours : undefined)

function spread(values: readonly (number | undefined)[]): Hours {
  const known = values.filter((value) => value !== undefined)
  return { lowHours: Math.min(...known), highHours: Math.max(...known) }
}

/** Standby time after which the alarm still rings its whole time, by bisection on a falling function [h]. */
function keeping(model: ModelName, input: BatteryRuntimeInput, carried: Carried): number | undefined {
  const { currentA, hours } = input.alarm!
  const outlasts = (standby: number) => {
    const phases = [
      { currentA: input.standbyCurrentA, hours: standby },
      { currentA, hours: Number.POSITIVE_INFINITY },
    ]
    const lasts = hoursOf(lastsUnder(model, phases, carried))
    return lasts === undefined ? undefined : lasts >= standby + hours
  }
  if (outlasts(0) === undefined) return undefined
  if (!outlasts(0)) return 0
  let [low, high] = [0, carried.capacityAh / input.standbyCurrentA]
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2
    if (outlasts(middle)) low = middle
    else high = middle
  }
  return low
}

function modelRuntime(
  model: ModelName,
  input: BatteryRuntimeInput,
  carried: { low: Carried; high: Carried },
): ModelRuntime {
  const phases: Phase[] = [{ currentA: input.standbyCurrentA, hours: Number.POSITIVE_INFINITY }]
  const [low, high] = [lastsUnder(model, phases, carried.low), lastsUnder(model, phases, carried.high)]
  if ('reason' in low || 'reason' in high) {
    const reason = 'reason' in low ? low.reason : (high as { reason: 'RATE_BEYOND_TABLE' }).reason
    return { model, reason, curve: [] }
  }
  const curve = Array.from({ length: CURVE_POINTS }, (_, index) => {
    const leftFraction = 1 - index / (CURVE_POINTS - 1)
    return { hours: low.hours * (1 - leftFraction), leftFraction }
  })
  return { model, hours: { lowHours: low.hours, highHours: high.hours }, curve }
}

function stepsOf(
  input: BatteryRuntimeInput,
  carried: { low: Carried; high: Carried },
  models: readonly ModelRuntime[],
): Step[] {
  const { low, high } = carried
  const fraction = input.capacityFraction ?? 1
  const peukert = models.find(({ model }) => model === 'peukert-least')!
  return [
    {
      formula: 'capacity left = rated capacity x share left by age x factor of temperature',
      substituted: `${written(input.ratedCapacityAh)} Ah x ${written(fraction)} x ${written(low.capacityAh / (input.ratedCapacityAh * fraction))} to ${written(high.capacityAh / (input.ratedCapacityAh * fraction))}`,
      value: low.capacityAh,
      unit: 'Ah',
      source: 'temperature: King and Knight p. 199 and a general data sheet (read), 1 % a degree (common practice)',
    },
    {
      formula: 'runtime = H x (C / (H x I))^k, at most C / I',
      substituted: `H = ${written(low.ratedDurationHours)} h, C = ${written(low.capacityAh)} Ah, I = ${written(input.standbyCurrentA)} A, k = ${written(low.exponent)}`,
      value: peukert.hours!.lowHours,
      unit: 'h',
      source:
        'Peukert (1897), rated form (read); k from 1.05 to 1.25 for sealed batteries (as reported) when none is given',
    },
  ]
}

const endVoltageOf = ({ ratedCapacityAh, standbyCurrentA, nominalVoltageV = 12 }: BatteryRuntimeInput) => {
  const twelve = endVoltageAtDuration(ratedCapacityAh / standbyCurrentA)
  return twelve === undefined ? undefined : (twelve * nominalVoltageV) / 12
}

function warningsOf(input: BatteryRuntimeInput): Warning[] {
  const { alarm, standbyCurrentA, ratedCapacityAh } = input
  const largest = Math.max(standbyCurrentA, alarm?.currentA ?? 0)
  const endV = endVoltageOf(input)
  return warningsWhere([
    [
      largest > 3 * ratedCapacityAh,
      'CURRENT_ABOVE_3C',
      'A current above 3 times the capacity is beyond what these models know.',
    ],
    [
      (input.exponent ?? 0) > USUAL_EXPONENT,
      'EXPONENT_UNUSUAL',
      'An exponent above 1.6 is unusual: was it fitted to this battery?',
    ],
    [
      alarm !== undefined && alarm.currentA < standbyCurrentA,
      'ALARM_BELOW_STANDBY',
      'The alarm current is below the standby current: give the whole current in alarm, not the increase.',
    ],
    [
      input.cutOffV !== undefined && endV !== undefined && input.cutOffV > endV,
      'CUT_OFF_EARLY',
      'The system cuts the battery off above its end of discharge: it stops earlier than these hours.',
    ],
    [
      input.cutOffV !== undefined && endV !== undefined && input.cutOffV < endV,
      'CUT_OFF_LATE',
      'The system lets the battery fall below its end of discharge: that shortens its life, and a flat battery freezes.',
    ],
    [
      ratedCapacityAh / standbyCurrentA > SHELF_LOSS_FROM_HOURS,
      'SHELF_LOSS_LEFT_OUT',
      'Over so long a time a battery loses about 3 % a month by itself: it lasts shorter than these hours.',
    ],
    [
      input.capacityFraction === undefined,
      'TAKEN_AS_NEW',
      'The battery is taken as new. One of four or five years may have half of its capacity left.',
    ],
  ])
}

const clockStep = (minutes: number, round: (value: number) => number) =>
  CLOCK_STEP_MINUTES * round(minutes / CLOCK_STEP_MINUTES)

const VALIDITY =
  'Valve-regulated lead-acid, fully charged at the start, constant currents, -9.4 to 35 degrees C. The spread between the models is part of the answer; a worn battery gives less than the least.'

/**
 * How long a battery carries its load, as a range over several models.
 *
 * from the least time of any model with the least capacity that the sources on temperature allow, to the most
 *
 * @param input - capacities [Ah], currents [A], times [h], temperature [degrees C]
 * @returns ranges for standby alone, for an alarm that rings first, and for standby that leaves the alarm its time
 * @throws DomainError QUANTITY_OUT_OF_RANGE (all mistakes together), NO_LOAD, TEMPERATURE_BEYOND_TABLE
 * @validity see the result's `validity`
 * @source peukert-1897; rate-table; manwell-mcgowan; king-knight
 * @example batteryRuntime({ ratedCapacityAh: 7, standbyCurrentA: 0.45 }).standby // about 14.6 to 15.5 h
 */
export function batteryRuntime(input: BatteryRuntimeInput): BatteryRuntime {
  check(input)
  const carried = carriedBy(input)
  const models = MODELS.map((model) => modelRuntime(model, input, carried))
  const standby = spread(models.flatMap(({ hours }) => (hours ? [hours.lowHours, hours.highHours] : [])))
  const { alarm, startsAtMinute } = input
  const endVoltageV = endVoltageOf(input)
  const all = (compute: (model: ModelName, battery: Carried) => number | undefined) =>
    spread(MODELS.flatMap((model) => [compute(model, carried.low), compute(model, carried.high)]))
  const ringing = alarm && [alarm, { currentA: input.standbyCurrentA, hours: Number.POSITIVE_INFINITY }]
  return {
    standby,
    ...(ringing && { ifItRings: all((model, battery) => hoursOf(lastsUnder(model, ringing, battery))) }),
    ...(alarm && { keepingAlarm: all((model, battery) => keeping(model, input, battery)) }),
    models,
    ...(endVoltageV === undefined ? {} : { endVoltageV }),
    ...(startsAtMinute === undefined
      ? {}
      : {
          untilMinute: {
            low: clockStep(startsAtMinute + standby.lowHours * 60, Math.floor),
            high: clockStep(startsAtMinute + standby.highHours * 60, Math.ceil),
          },
        }),
    steps: stepsOf(input, carried, models),
    warnings: warningsOf(input),
    validity: VALIDITY,
    hazards: ['hazard/vrla-short-circuit'],
  }
}
