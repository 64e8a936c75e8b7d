import { DomainError } from '../errors.ts'
import { within } from './check.ts'
import type { Duty } from './duties.ts'
import { largestRechargeableAh, netChargeCurrentA } from './recharge.ts'
import { nextSizeAh, STANDARD_SIZES_AH } from './standard-sizes.ts'
import { deratedCapacityAh, type LoadProfile, loadChargeAh, sectionCapacityAh } from './standby-capacity.ts'
import { temperatureFactor } from './temperature-factor.ts'

export interface Load {
  label?: string
  quantity: number
  standbyCurrentA: number
  /** Whole current in alarm; the standby current when left out. */
  alarmCurrentA?: number
}
export type Method = 'load-charge' | 'derated-alarm' | 'sections'

export interface SizingInput {
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
export interface Step {
  formula: string
  substituted: string
  value: number
  unit: string
  source: string
}
export interface Warning {
  code: string
  message: string
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
  validity: string
}

const DEFAULT_AGEING = {
  value: 1.25,
  source: 'IEEE 485 (as reported): 1 / 0.80, so that the battery still carries the load at 80 % of its capacity',
}
const DEFAULT_EXPONENT = 1.15
const DEFAULT_RECHARGE = { hours: 24, fraction: 0.8 }
/** Above this a supply of small systems is likelier to be a slip of the unit. Judgement. */
const IMPLAUSIBLE_CURRENT_A = 10
const VALIDITY =
  'Constant currents; lead-acid standby batteries at their 20 h rating. Local codes and the maker of the system decide; have fire and life-safety systems sized by a licensed person.'

function sumLoads(loads: readonly Load[], standbyDurationHours: number, alarmDurationHours: number): LoadProfile {
  let standbyCurrentA = 0
  let alarmCurrentA = 0
  loads.forEach((load, index) => {
    const at = `/loads/${index}`
    within(load.quantity, `${at}/quantity`, 0, 10_000, '1')
    within(load.standbyCurrentA, `${at}/standbyCurrent`, 0, 1000, 'A')
    const alarm = within(load.alarmCurrentA ?? load.standbyCurrentA, `${at}/alarmCurrent`, 0, 1000, 'A')
    standbyCurrentA += load.quantity * load.standbyCurrentA
    alarmCurrentA += load.quantity * alarm
  })
  return { standbyCurrentA, alarmCurrentA, standbyDurationHours, alarmDurationHours }
}

function hoursOf(input: SizingInput): { standby: number; alarm: number } {
  const standby = input.standbyHours ?? input.duty?.standbyHours
  if (standby === undefined)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'standbyDuration must be given, or a duty that states it', {
      path: '/standbyDuration',
    })
  return {
    standby: within(standby, '/standbyDuration', 0, 10_000, 'h'),
    alarm: within(input.alarmHours ?? input.duty?.alarmHours ?? 0, '/alarmDuration', 0, 1000, 'h'),
  }
}

/** Margins that apply, each once: a duty whose own margin covers ageing takes the place of the ageing factor. */
function factorsOf(input: SizingInput): Factor[] {
  const { duty, temperatureC } = input
  const factors: Factor[] = []
  const dutyCoversAgeing = duty?.margin?.covers === 'ageing'
  if (duty?.margin)
    factors.push({ name: 'duty-margin', value: duty.margin.factor, source: `${duty.source} (${duty.certainty})` })
  if (!dutyCoversAgeing) {
    const value = within(input.ageingFactor ?? DEFAULT_AGEING.value, '/ageingFactor', 1, 3, '1')
    factors.push({ name: 'ageing', value, source: input.ageingFactor === undefined ? DEFAULT_AGEING.source : 'given' })
  }
  if (input.designFactor !== undefined)
    factors.push({ name: 'design', value: within(input.designFactor, '/designFactor', 1, 3, '1'), source: 'given' })
  if (temperatureC !== undefined) {
    const value = Math.max(1, temperatureFactor(temperatureC))
    factors.push({ name: 'temperature', value, source: 'IEEE 485 table 1, reference 25 Cel; never below 1 (cautious)' })
  }
  return factors
}

const product = (factors: readonly Factor[]) => factors.reduce((value, factor) => value * factor.value, 1)

/** Capacity before margins, by the chosen method. */
function uncorrectedAh(input: SizingInput, load: LoadProfile): number {
  if (input.method === 'sections')
    return sectionCapacityAh(
      [
        { currentA: load.standbyCurrentA, durationHours: load.standbyDurationHours },
        { currentA: load.alarmCurrentA, durationHours: load.alarmDurationHours },
      ].filter(({ durationHours }) => durationHours > 0),
      input.exponent ?? DEFAULT_EXPONENT,
    )
  return loadChargeAh(load)
}

function requiredAh(input: SizingInput, load: LoadProfile, factors: readonly Factor[]): number {
  const margin = product(factors)
  return input.method === 'derated-alarm'
    ? deratedCapacityAh(load, margin).capacityAh
    : uncorrectedAh(input, load) * margin
}

/** A number as a person writes it: at most six significant digits. */
const written = (value: number) => String(Number(value.toPrecision(6)))

function stepsOf(input: SizingInput, load: LoadProfile, factors: readonly Factor[], required: number): Step[] {
  const { standbyCurrentA, standbyDurationHours, alarmCurrentA, alarmDurationHours } = load
  const charge: Step = {
    formula: 'load charge = standby current x standby time + alarm current x alarm time',
    substituted: `${written(standbyCurrentA)} A x ${written(standbyDurationHours)} h + ${written(alarmCurrentA)} A x ${written(alarmDurationHours)} h`,
    value: loadChargeAh(load),
    unit: 'Ah',
    source: 'sum of the charges; the alarm follows the standby time',
  }
  const names = factors.map(({ name }) => name).join(' x ')
  const values = factors.map(({ value }) => written(value)).join(' x ')
  if (input.method === 'derated-alarm') {
    const { alarmDerating } = deratedCapacityAh(load, product(factors))
    return [
      charge,
      {
        formula: `required = ${names || '1'} x (standby charge + D x alarm charge), D = 1 if C/20 covers the alarm current, else 1.75`,
        substituted: `${values || '1'} x (${written(standbyCurrentA * standbyDurationHours)} Ah + ${alarmDerating} x ${written(alarmCurrentA * alarmDurationHours)} Ah)`,
        value: required,
        unit: 'Ah',
        source: 'BS 5839-1 Annex E (as reported)',
      },
    ]
  }
  const base = uncorrectedAh(input, load)
  const sections: Step[] =
    input.method === 'sections'
      ? [
          {
            formula:
              'section capacity = sum of current steps x 20 h x (time to the end / 20 h)^(1 / k), largest section',
            substituted: `k = ${written(input.exponent ?? DEFAULT_EXPONENT)}`,
            value: base,
            unit: 'Ah',
            source: 'IEEE 485 section method (from memory)',
          },
        ]
      : []
  return [
    charge,
    ...sections,
    {
      formula: `required = charge x ${names || '1'}`,
      substituted: `${written(base)} Ah x ${values || '1'}`,
      value: required,
      unit: 'Ah',
      source: 'each factor names its own',
    },
  ]
}

/** Largest battery that the case and the charger allow; undefined when nothing limits it. */
function largestAllowed({ limits }: SizingInput, load: LoadProfile): number | undefined {
  if (!limits) return undefined
  const allowed: number[] = []
  if (limits.maximumCapacityAh !== undefined)
    allowed.push(within(limits.maximumCapacityAh, '/limits/maximumCapacity', 0.1, 10_000, 'Ah'))
  if (limits.chargeLimitA !== undefined) {
    within(limits.chargeLimitA, '/limits/chargeLimit', 0, 1000, 'A')
    const net = netChargeCurrentA(
      limits.supplyCurrentA ?? Number.POSITIVE_INFINITY,
      limits.chargeLimitA,
      load.standbyCurrentA,
    )
    const hours = within(limits.rechargeHours ?? DEFAULT_RECHARGE.hours, '/limits/rechargeDuration', 0.1, 1000, 'h')
    allowed.push(largestRechargeableAh(net, hours, limits.rechargeFraction ?? DEFAULT_RECHARGE.fraction))
  }
  return allowed.length > 0 ? Math.min(...allowed) : undefined
}

function recommend(
  input: SizingInput,
  required: number,
  allowed: number | undefined,
): Pick<BatterySize, 'recommended' | 'noneBecause'> {
  const sizes = input.sizesAh ?? STANDARD_SIZES_AH
  const single = nextSizeAh(required, sizes)
  const size = single ?? nextSizeAh(required / 2, sizes)
  const inParallel = single === undefined ? 2 : 1
  if (size === undefined)
    return {
      noneBecause: `No standard size reaches ${written(required)} Ah, not even two in parallel: lower the load or the hours.`,
    }
  if (allowed !== undefined && size * inParallel > allowed * (1 + 1e-12))
    return {
      noneBecause: `${written(size * inParallel)} Ah is needed, but the case and the charger allow at most ${written(allowed)} Ah: lower the load or the hours, or have a larger supply fitted.`,
    }
  const blockVoltageV = input.nominalVoltageV === 6 ? 6 : 12
  return {
    recommended: { capacityAh: size, blockVoltageV, inSeries: input.nominalVoltageV / blockVoltageV, inParallel },
  }
}

function warningsOf(input: SizingInput, load: LoadProfile, size: number | undefined): Warning[] {
  const warnings: Warning[] = []
  const add = (code: string, message: string) => warnings.push({ code, message })
  if (load.alarmDurationHours > 0 && load.alarmCurrentA < load.standbyCurrentA)
    add(
      'ALARM_BELOW_STANDBY',
      'The alarm current is below the standby current: give the whole current in alarm, not the increase.',
    )
  if (Math.max(load.standbyCurrentA, load.alarmCurrentA) > IMPLAUSIBLE_CURRENT_A)
    add('CURRENT_IMPLAUSIBLE', `A current above ${IMPLAUSIBLE_CURRENT_A} A is unusual here: were milliamperes meant?`)
  if (size !== undefined && input.method === 'load-charge' && load.alarmCurrentA > size / 5)
    add(
      'ALARM_CURRENT_HEAVY',
      'The alarm current is above C/5: the method "sections" or "derated-alarm" counts it in full.',
    )
  if (input.duty?.margin?.covers === 'ageing' && input.ageingFactor !== undefined)
    add('AGEING_COVERED_BY_DUTY', "The duty's own margin covers ageing: the ageing factor was not applied on top.")
  if (input.duty && input.duty.certainty !== 'read')
    add(
      'DUTY_NOT_READ',
      `The hours of this duty are ${input.duty.certainty === 'memory' ? 'from memory' : 'as reported by another text'}: check the edition in force.`,
    )
  if (input.limits?.chargeLimitA !== undefined && input.limits.supplyCurrentA === undefined)
    add(
      'SUPPLY_NOT_STATED',
      'The current of the supply is not stated: the load may leave less than the charge limit for the battery.',
    )
  return warnings
}

/** Largest value of one quantity for which the requirement stays within the size, by bisection on a rising function. */
function largestWithin(sizeAh: number, start: number, requirement: (value: number) => number): number {
  let low = start
  let high = Math.max(start, 1e-3)
  while (requirement(high) <= sizeAh && high < 1e6) high *= 2
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2
    if (requirement(middle) <= sizeAh) low = middle
    else high = middle
  }
  return low
}

const WHAT_IF_HOURS = [4, 8, 12, 24, 60, 72] as const

/**
 * Size of a standby battery with the derivation, the margins and what would change the decision.
 *
 * required = capacity by the method x product of the factors that apply; recommended = next standard size
 *
 * @param input - loads [A] by quantity, hours by duty or given, nominal voltage 6, 12 or 24 V
 * @returns capacity [Ah] unrounded, the size to take or why none will do
 * @throws DomainError QUANTITY_OUT_OF_RANGE, TEMPERATURE_BEYOND_TABLE with a pointer into the input
 * @validity lead-acid standby batteries at constant currents; not for lithium
 * @source nfpa-72, bs-5839-1, ieee-485 as their factors say
 */
export function sizeBattery(input: SizingInput): BatterySize {
  const hours = hoursOf(input)
  const load = sumLoads(input.loads, hours.standby, hours.alarm)
  const factors = factorsOf(input)
  const required = requiredAh(input, load, factors)
  const allowed = largestAllowed(input, load)
  const choice = recommend(input, required, allowed)
  const size = choice.recommended && choice.recommended.capacityAh * choice.recommended.inParallel
  const at = (changes: Partial<LoadProfile>) => requiredAh(input, { ...load, ...changes }, factors)
  return {
    load,
    loadChargeAh: loadChargeAh(load),
    requiredCapacityAh: required,
    factors,
    steps: stepsOf(input, load, factors, required),
    ...choice,
    ...(allowed === undefined ? {} : { largestAllowedAh: allowed }),
    warnings: warningsOf(input, load, size),
    ...(size === undefined
      ? {}
      : {
          decisionChangesAt: {
            standbyCurrentA: largestWithin(size, load.standbyCurrentA, (standbyCurrentA) => at({ standbyCurrentA })),
            standbyHours: largestWithin(size, load.standbyDurationHours, (standbyDurationHours) =>
              at({ standbyDurationHours }),
            ),
          },
        }),
    whatIf: WHAT_IF_HOURS.map((standbyHours) => {
      const requiredCapacityAh = at({ standbyDurationHours: standbyHours })
      const next = recommend(input, requiredCapacityAh, allowed).recommended
      return {
        standbyHours,
        requiredCapacityAh,
        ...(next === undefined ? {} : { recommendedCapacityAh: next.capacityAh * next.inParallel }),
      }
    }),
    validity: VALIDITY,
  }
}
