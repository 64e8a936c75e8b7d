import { DomainError } from '../errors.ts'
import { type Step, type Warning, warningsWhere, written } from '../quantities/derivation.ts'
import { refuseTogether, within } from '../quantities/within.ts'
import { COLD_SHARE, findPrimaryCell, PRIMARY_CELLS, type PrimaryCell, SHELF_LOSS_PER_YEAR } from './primary-cells.ts'

export interface CellLifeInput {
  /** IEC designation or common name; or own values. */
  designation?: string
  capacityMAh?: number
  nominalVoltageV?: number
  cellsInParallel?: number
  cellsInSeries?: number
  sleepCurrentUA: number
  /** Real events and supervision messages together. */
  eventsPerDay: number
  chargePerEventUAh: number
  temperatureC?: number
  /** At 20 degrees C. */
  selfDischargePerYearFraction?: number
  /** Pulse of a message and internal resistance of one cell: the sag follows. */
  pulseCurrentMA?: number
  internalResistanceOhm?: number
}
export interface CellLife {
  months: { low: number; high: number }
  /** True where the range ends at ten years because seals and shelf life end there. */
  isCapped: boolean
  averageCurrentUA: number
  selfDischargeCurrentUA: { low: number; high: number }
  cell?: PrimaryCell
  packVoltageV?: number
  /** Fall of the cell's voltage during a pulse [mV]. */
  pulseSagMV?: number
  wouldChange: string[]
  steps: Step[]
  warnings: Warning[]
  validity: string
  hazards: string[]
}

const HOURS_PER_YEAR = 8766
const MONTHS_PER_YEAR = 12
/** Seals and shelf life end here whatever the load. */
const LONGEST_YEARS = 10
/** Measured lives fall short of the average-current method: share of the capacity that counts (judgement). */
const USABLE = { low: 0.6, high: 0.85 }

/**
 * Life of a primary cell, in years.
 *
 * L = 1000 C u / (I_sleep + n q / 24 + 1000 C s / 8766) / 8766, currents in uA, C in mAh, q in uAh
 *
 * @param capacityMAh - capacity C [mAh]
 * @param usableFraction - share u of it that counts
 * @param loadCurrentUA - average current of sleep and events [uA]
 * @param selfDischargePerYearFraction - shelf loss s a year
 * @validity average-current method: optimistic, published measurements differ by up to a factor of three
 * @source own-derivation from charge balance
 * @example cellLifeYears(1500, 0.85, 15, 0.015) // 8.28
 */
export function cellLifeYears(
  capacityMAh: number,
  usableFraction: number,
  loadCurrentUA: number,
  selfDischargePerYearFraction: number,
): number {
  const lossUA = (1000 * capacityMAh * selfDischargePerYearFraction) / HOURS_PER_YEAR
  return (1000 * capacityMAh * usableFraction) / (loadCurrentUA + lossUA) / HOURS_PER_YEAR
}

/** Shelf loss doubles for each 10 degrees C (from memory). */
const LOSS_DOUBLING_C = 10
const LOSS_REFERENCE_C = 20

/**
 * Shelf loss at a temperature, as a fraction a year.
 *
 * s(T) = s20 * 2^((T - 20) / 10), never below s20: cold is not credited (judgement)
 *
 * @param selfDischargePerYearFraction - loss at 20 degrees C, s20
 * @param temperatureC - mean temperature of the cell [degrees C]
 * @source common rule, from memory
 * @example warmShelfLoss(0.025, 40) // 0.1
 */
export function warmShelfLoss(selfDischargePerYearFraction: number, temperatureC: number): number {
  return selfDischargePerYearFraction * 2 ** (Math.max(0, temperatureC - LOSS_REFERENCE_C) / LOSS_DOUBLING_C)
}

/** Average current of sleep and events [uA]: I_sleep + events a day * charge / 24. */
export const averageCurrentUA = (sleepCurrentUA: number, eventsPerDay: number, chargePerEventUAh: number) =>
  sleepCurrentUA + (eventsPerDay * chargePerEventUAh) / 24

/** Fall of the voltage during a pulse, I * R; cells in parallel share the pulse [mV for mA and ohm]. */
function pulseSagMV({ pulseCurrentMA, internalResistanceOhm, cellsInParallel = 1 }: CellLifeInput): number | undefined {
  if (pulseCurrentMA === undefined || internalResistanceOhm === undefined) return undefined
  return (pulseCurrentMA * internalResistanceOhm) / cellsInParallel
}

const sagSteps = (
  { pulseCurrentMA, internalResistanceOhm, cellsInParallel = 1 }: CellLifeInput,
  sagMV?: number,
): Step[] =>
  sagMV === undefined
    ? []
    : [
        {
          formula: 'sag during a pulse = pulse current x internal resistance / cells in parallel',
          substituted: `${written(pulseCurrentMA!)} mA x ${written(internalResistanceOhm!)} Ohm / ${cellsInParallel}`,
          value: sagMV,
          unit: 'mV',
          source: "Ohm's law",
        },
      ]

function cellOf({ designation }: CellLifeInput): PrimaryCell | undefined {
  if (designation === undefined) return undefined
  const cell = findPrimaryCell(designation)
  if (cell) return cell
  const known = PRIMARY_CELLS.map((entry) => entry.designation).join(', ')
  throw new DomainError('UNKNOWN_ID', `designation must be one of ${known}, got ${designation}`, {
    path: '/designation',
    limit: known,
    value: designation,
  })
}

function check(input: CellLifeInput): void {
  refuseTogether([
    () => within(input.capacityMAh ?? 1, '/capacity', 0.1, 1e6, 'mAh'),
    () => within(input.cellsInParallel ?? 1, '/cellsInParallel', 1, 16, '1'),
    () => within(input.cellsInSeries ?? 1, '/cellsInSeries', 1, 16, '1'),
    () => within(input.sleepCurrentUA, '/sleepCurrent', 0, 1e6, 'uA'),
    () => within(input.eventsPerDay, '/eventsPerDay', 0, 1e6, '1'),
    () => within(input.chargePerEventUAh, '/chargePerEvent', 0, 1e6, 'uAh'),
    () => within(input.temperatureC ?? 20, '/temperature', -40, 60, 'degrees C'),
    () => within(input.selfDischargePerYearFraction ?? 0.02, '/selfDischargePerYear', 0, 1, '1'),
    () => within(input.nominalVoltageV ?? 1, '/nominalVoltage', 0.1, 60, 'V'),
    () => within(input.pulseCurrentMA ?? 1, '/pulseCurrent', 0, 1e5, 'mA'),
    () => within(input.internalResistanceOhm ?? 1, '/internalResistance', 0, 1e5, 'Ohm'),
    () => cellOf(input),
  ])
  if (input.designation === undefined && input.capacityMAh === undefined)
    throw new DomainError('QUANTITY_OUT_OF_RANGE', 'give either designation or capacity', { path: '/designation' })
}

/** Share of the capacity left in the cold, straight from 20 degrees C to -20; never credited above 20. */
function coldShare(cell: PrimaryCell | undefined, temperatureC: number): number {
  const least = cell ? COLD_SHARE[cell.system] : 0.5
  return 1 - ((1 - least) * (20 - Math.min(20, Math.max(-20, temperatureC)))) / 40
}

function warningsOf(input: CellLifeInput, cell: PrimaryCell | undefined, years: number): Warning[] {
  const isLithium = cell !== undefined && cell.system !== 'alkaline'
  return warningsWhere([
    [
      isLithium,
      'VOLTAGE_IS_NO_GAUGE',
      "A lithium cell's voltage stays flat and then falls: trust the device's own low signal.",
    ],
    [
      cell?.system === 'lithium-thionyl',
      'PASSIVATION',
      'After a long rest this cell sags at its first pulse: load it once and test again before calling it empty.',
    ],
    [
      cell?.system === 'lithium-thionyl',
      'SAME_SIZE_OTHER_VOLTAGE',
      'A 3.6 V cell looks like a 1.5 V or 3 V cell of its size: it must never go where another voltage belongs.',
    ],
    [
      input.eventsPerDay < 24,
      'SUPERVISION_COUNTS',
      'Do supervision messages count here? One an hour is 24 events a day.',
    ],
    [
      (input.temperatureC ?? 20) < -20,
      'COLDER_THAN_KNOWN',
      'Below -20 degrees C the sag of a pulse is the limit, not the capacity.',
    ],
    [years > LONGEST_YEARS, 'CAPPED', 'The sum gives more than ten years: seals and shelf life end before.'],
  ])
}

function stepsOf(input: CellLifeInput, average: number, capacityMAh: number, years: number, loss: number): Step[] {
  return [
    {
      formula: 'average current = sleep current + events a day x charge of an event / 24 h',
      substituted: `${written(input.sleepCurrentUA)} uA + ${written(input.eventsPerDay)} x ${written(input.chargePerEventUAh)} uAh / 24 h`,
      value: average,
      unit: 'uA',
      source: 'charge balance',
    },
    {
      formula: 'life = usable share x capacity / (average current + self-discharge)',
      substituted: `${USABLE.low} x ${written(capacityMAh)} mAh / (${written(average)} uA + ${written(loss)} uA)`,
      value: years * MONTHS_PER_YEAR,
      unit: 'mo',
      source: 'charge balance; usable share 0.6 to 0.85 is judgement after published measurements (abstracts read)',
    },
  ]
}

/** Least and most life [a]. */
const yearsOf = (lowMAh: number, highMAh: number, averageUA: number, loss: number) =>
  [cellLifeYears(lowMAh, USABLE.low, averageUA, loss), cellLifeYears(highMAh, USABLE.high, averageUA, loss)] as const

const cappedMonths = (years: number) => Math.min(years, LONGEST_YEARS) * MONTHS_PER_YEAR

function wouldChange(input: CellLifeInput, lasts: (averageUA: number) => readonly [number, number]): string[] {
  const { sleepCurrentUA, eventsPerDay, chargePerEventUAh } = input
  const months = (events: number) =>
    lasts(averageCurrentUA(sleepCurrentUA, events, chargePerEventUAh))
      .map((years) => Math.round(cappedMonths(years)))
      .join(' to ')
  return [
    `With twice the events it lasts ${months(2 * eventsPerDay)} months, with half of them ${months(eventsPerDay / 2)}.`,
  ]
}

/**
 * Life of the primary cells of a device, as a range in months.
 *
 * cellLifeYears with the least and the most capacity and usable share; cold taken off; at most ten years
 *
 * @throws DomainError QUANTITY_OUT_OF_RANGE, UNKNOWN_ID, all mistakes together
 * @validity average-current method; cells of one set are of one type and age
 * @source primary-cells table (judgement), own-derivation
 * @example cellLife({ designation: 'CR123A', sleepCurrentUA: 12, eventsPerDay: 60, chargePerEventUAh: 1.2 }).months
 */
export function cellLife(input: CellLifeInput): CellLife {
  check(input)
  const cell = cellOf(input)
  const [least, most] =
    cell && input.capacityMAh === undefined ? cell.capacityMAh : [input.capacityMAh!, input.capacityMAh!]
  const parallel = input.cellsInParallel ?? 1
  const share = coldShare(cell, input.temperatureC ?? 20)
  const lossAt20C = input.selfDischargePerYearFraction ?? (cell ? SHELF_LOSS_PER_YEAR[cell.system] : 0.02)
  const loss = warmShelfLoss(lossAt20C, input.temperatureC ?? LOSS_REFERENCE_C)
  const average = averageCurrentUA(input.sleepCurrentUA, input.eventsPerDay, input.chargePerEventUAh)
  if (average === 0 && loss === 0)
    throw new DomainError('NO_LOAD', 'sleepCurrent, events and self-discharge are all 0: nothing empties the cell', {
      path: '/sleepCurrent',
    })
  const [low, high] = [least * parallel * share, most * parallel * share]
  const years = yearsOf(low, high, average, loss)
  const lossUA = (capacityMAh: number) => (1000 * capacityMAh * loss) / HOURS_PER_YEAR
  const voltageV = input.nominalVoltageV ?? cell?.nominalVoltageV
  const sagMV = pulseSagMV(input)
  return {
    months: {
      low: cappedMonths(years[0]),
      high: cappedMonths(years[1]),
    },
    isCapped: years[1] > LONGEST_YEARS,
    averageCurrentUA: average,
    selfDischargeCurrentUA: { low: lossUA(low), high: lossUA(high) },
    ...(cell && { cell }),
    ...(voltageV === undefined ? {} : { packVoltageV: voltageV * (input.cellsInSeries ?? 1) }),
    ...(sagMV === undefined ? {} : { pulseSagMV: sagMV }),
    wouldChange: wouldChange(input, (averageUA) => yearsOf(low, high, averageUA, loss)),
    steps: [...stepsOf(input, average, low, years[0], lossUA(low)), ...sagSteps(input, sagMV)],
    warnings: warningsOf(input, cell, years[1]),
    validity:
      'Average-current method, which measured devices fall short of; typical capacities, not guaranteed; cold taken off in a straight line, shelf loss doubled for each 10 degrees C above 20.',
    hazards:
      cell !== undefined && cell.system !== 'alkaline'
        ? ['hazard/lithium-cell', 'hazard/swallowed-cell']
        : ['hazard/swallowed-cell'],
  }
}
