import { DomainError } from '../errors.ts'
import { type Step, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { END_OF_LIFE_FRACTION } from './health-evidence.ts'
import { peukertExponentFrom, USUAL_PEUKERT_EXPONENTS } from './peukert.ts'
import { type Carried, type Lasts, lastsUnder, MODELS, type ModelName, type Phase } from './runtime-models.ts'
import type { BatteryRuntime, BatteryRuntimeInput, Hours, ModelRuntime } from './runtime-types.ts'
import { endVoltageOf, warningsOf } from './runtime-warnings.ts'
import { checkAlike, checkChemistry } from './suitable.ts'
import { capacityTemperatureRange } from './temperature-capacity.ts'

export type * from './runtime-types.ts'

const CURVE_POINTS = 25
/** A clock time from such a range is not worth single minutes. */
const CLOCK_STEP_MINUTES = 10
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

const clockStep = (minutes: number, round: (value: number) => number) =>
  CLOCK_STEP_MINUTES * round(minutes / CLOCK_STEP_MINUTES)

const VALIDITY =
  'Valve-regulated lead-acid, fully charged at the start, constant currents, -9.4 to 35 degrees C. The spread between the models is part of the answer; a worn battery gives less than the least.'

const modelsFor = (input: BatteryRuntimeInput) => {
  const carried = carriedBy(input)
  return MODELS.map((model) => modelRuntime(model, input, carried))
}
const standbyOf = (models: readonly ModelRuntime[]) =>
  spread(models.flatMap(({ hours }) => (hours ? [hours.lowHours, hours.highHours] : [])))

/**
 * How long a battery carries its standby load, as a range over several models, without the account of it [h].
 *
 * @param input - capacities [Ah], currents [A], temperature [degrees C]
 * @returns from the least time of any model to the most [h]
 * @throws DomainError QUANTITY_OUT_OF_RANGE (all mistakes together), NO_LOAD, TEMPERATURE_BEYOND_TABLE
 * @validity as of `batteryRuntime`
 * @source peukert-1897; rate-table; manwell-mcgowan; king-knight
 * @example standbyRuntime({ ratedCapacityAh: 7, standbyCurrentA: 0.45 }) // about 14.6 to 15.5 h
 */
export function standbyRuntime(input: BatteryRuntimeInput): Hours {
  check(input)
  return standbyOf(modelsFor(input))
}

/** What a tenth more load, and a battery at the end of its life, make of the hours. */
function wouldChange(input: BatteryRuntimeInput): string[] {
  const { standbyCurrentA, capacityFraction = 1 } = input
  const hours = (changes: Partial<BatteryRuntimeInput>) => {
    const { lowHours, highHours } = standbyOf(modelsFor({ ...input, ...changes }))
    return `${lowHours.toFixed(1)} to ${highHours.toFixed(1)} h`
  }
  return [
    `With a tenth more load it lasts ${hours({ standbyCurrentA: 1.1 * standbyCurrentA })}.`,
    ...(capacityFraction > END_OF_LIFE_FRACTION
      ? [
          `With ${100 * END_OF_LIFE_FRACTION} % of its capacity, where a battery counts as worn, it lasts ${hours({ capacityFraction: END_OF_LIFE_FRACTION })}.`,
        ]
      : []),
  ]
}

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
  const models = modelsFor(input)
  const standby = standbyOf(models)
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
    wouldChange: wouldChange(input),
    warnings: warningsOf(input),
    validity: VALIDITY,
    hazards: ['hazard/vrla-short-circuit'],
  }
}
